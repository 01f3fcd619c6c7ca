/** What a request is, on every button that sends one. */
export function RequestNote() {
  return <small>request to the cell, no emergency stop</small>;
}
