/** Kept in plain old syntax: an old Node has to be able to read this file to be told that it is too old. */
var LEAST = [20, 19];

/** One sentence when `version` ("18.4.0") is older than what Aslaid needs, else null. */
export function nodeComplaint(version) {
  var parts = version.split(".").map(Number);
  var fits = parts[0] > LEAST[0] || (parts[0] === LEAST[0] && parts[1] >= LEAST[1]);
  return fits ? null : "Aslaid needs Node " + LEAST.join(".") + " or newer and this is " + version + ": install a newer Node and start again.";
}

/** Ends the process with that sentence where Node is too old. */
export function requireNode() {
  var complaint = nodeComplaint(process.versions.node);
  if (complaint !== null) {
    process.stderr.write(complaint + "\n");
    process.exit(1);
  }
}
