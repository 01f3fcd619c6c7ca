import { answer } from "../../../lib/server/answer.ts";
import { receiveCalibration } from "../../../lib/server/receiveCalibration.ts";

/** Calibrates a camera from the pictures of a form, and answers with the sheet. Nothing is kept. */
export function POST(request: Request): Promise<Response> {
  return answer(request, "look", async () => receiveCalibration(request));
}
