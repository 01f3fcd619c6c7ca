/** Something that a person has to put right first: its message is one sentence that says what to do, printed without a stack. */
export class Stop extends Error {
  name = "Stop";
}

/** Prints a Stop as its sentence, anything else as the bug it is, and makes the process end with 1. */
export function reportAndFail(error) {
  process.stderr.write(error instanceof Stop ? `${error.message}\n` : `${error?.stack ?? error}\n`);
  process.exitCode = 1;
}
