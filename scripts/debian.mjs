/** What the tests need of Debian's own packages: the browser that page tests drive, the tools that read the program's PDFs. */
import { existsSync } from "node:fs";
import { runStep } from "./run-step.mjs";
import { Stop } from "./stop.mjs";

export const CHROMIUM = "/usr/bin/chromium";
/** Where poppler-utils keeps its programs. */
export const POPPLER = "/usr/bin";

/** Where opencv-doc keeps the pictures of a board and the intrinsics that its authors got from them. */
export const OPENCV_DOC = "/usr/share/doc/opencv-doc/examples/data";

/** Each with a file that is there once it is installed. */
const PACKAGES = {
  chromium: { file: CHROMIUM, tests: "The browser tests", wait: "a minute or two" },
  "poppler-utils": { file: `${POPPLER}/pdftotext`, tests: "The tests of the PDF", wait: "seconds" },
  "opencv-doc": { file: `${OPENCV_DOC}/left_intrinsics.yml`, tests: "The tests of calibration", wait: "a minute" },
};

/** Installs one where that can be done; a Stop that says how otherwise. */
export async function requirePackage(name, root, say) {
  const { file, tests, wait } = PACKAGES[name];
  if (existsSync(file)) return;
  const advice = `${tests} need ${file}: as root run "apt-get update && apt-get install -y ${name}", then "npm test" again.`;
  const mayInstall = process.getuid?.() === 0 && existsSync("/usr/bin/apt-get");
  if (!mayInstall) throw new Stop(advice);
  const env = { DEBIAN_FRONTEND: "noninteractive" };
  await runStep({ title: "Refreshing the list of Debian packages", command: "apt-get", args: ["update", "-qq"], cwd: root, env, say, advice });
  await runStep({ title: `Installing ${name} for the tests (${wait})`, command: "apt-get", args: ["install", "-y", "-qq", "--no-install-recommends", name], cwd: root, env, say, advice });
  if (!existsSync(file)) throw new Stop(advice);
}
