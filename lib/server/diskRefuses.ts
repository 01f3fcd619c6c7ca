/** Writing that is good to have and that nothing waits for. */
import { diskProblem } from "../source/stage.ts";

/** Does it, and leaves it undone where the disk is full or cannot be written; false then. */
export function unlessDiskRefuses(work: () => void): boolean {
  try {
    work();
    return true;
  } catch (error) {
    if (diskProblem(error) === null) throw error;
    return false;
  }
}
