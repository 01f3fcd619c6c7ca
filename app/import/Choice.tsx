"use client";
import { useRef } from "react";
import { fromFolder, fromZip, type Chosen } from "./chosenFiles.ts";

interface Props {
  /** Something was brought in, or failed, before. */
  readonly again: boolean;
  readonly choose: (chosen: Chosen) => void;
  readonly limitWords: string;
}

/** Two buttons, and the place to drop on. */
export function Choice({ again, choose, limitWords }: Props) {
  const folder = useRef<HTMLInputElement | null>(null);
  const zip = useRef<HTMLInputElement | null>(null);
  const filesOf = (input: HTMLInputElement): File[] => {
    const files = [...input.files ?? []];
    input.value = ""; // so that choosing the same one again is a choice, too
    return files;
  };
  return (
    <div className="choice">
      <p className="acts">
        <button type="button" onClick={() => folder.current?.click()}>{again ? "Choose another folder" : "Choose a folder"}</button>
        <button type="button" onClick={() => zip.current?.click()}>{again ? "Choose another zip" : "Choose a zip"}</button>
      </p>
      <p>or drop either of them anywhere on this sheet.</p>
      <p className="limit">{limitWords}</p>
      <input
        ref={(input) => { folder.current = input; if (input !== null) input.webkitdirectory = true; }}
        type="file" hidden aria-label="Run folder" onChange={(event) => choose(fromFolder(filesOf(event.currentTarget)))}
      />
      <input
        ref={zip} type="file" hidden accept=".zip,application/zip" aria-label="Zip of a run folder"
        onChange={(event) => filesOf(event.currentTarget).slice(0, 1).forEach((file) => choose(fromZip(file)))}
      />
    </div>
  );
}
