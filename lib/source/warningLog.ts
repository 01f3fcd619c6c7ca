import type { Warning } from "../base/errors.ts";

/** Warnings as they come up, each said once however often the folder is read. */
export class WarningLog {
  readonly list: Warning[] = [];
  private readonly said = new Set<string>();

  add(warning: Warning): void {
    const key = JSON.stringify([warning.code, warning.message, warning.file, warning.line]);
    if (this.said.has(key)) return;
    this.said.add(key);
    this.list.push(warning);
  }

  /** A stream that broke off: measured as far as whole messages reach. */
  truncated(file: string, where: string, line?: number): void {
    this.add({ code: "sensing.truncated", message: `${file} breaks off ${where}; it is read as far as whole messages reach`, file, ...(line === undefined ? {} : { line }) });
  }
}
