/** VERIFY.md: how a stranger checks an export without this program. A test runs exactly these lines. */
export const VERIFY_NOTE = `# Checking this record without Aslaid

This folder is a recorded run as it was received, with the log of what happened to it. Entry by entry, \`log.ndjson\` is a chain: each entry carries the SHA-256 of the one before. \`seals.ndjson\` holds
Ed25519 signatures over the length of the chain and its last hash, made with the private half of \`publicKey.pem\`. Every other file stands in the log with its SHA-256. So nothing here
can be changed, taken out or put in without the key. What the record cannot show by itself: whose key it is, and whether it was once longer. Compare the key's number and the
head, which the lines below print, with those known from elsewhere.

With \`openssl\` (3.0 or newer), \`jq\` (1.6 or newer) and \`sha256sum\`, in this folder, in any POSIX shell:

\`\`\`sh
set -e; t=$(mktemp -d); trap 'rm -r "$t"' EXIT; no() { echo "NOT WHOLE: $*"; exit 1; }
id=$(openssl pkey -pubin -in publicKey.pem -outform DER | sha256sum); id=\${id%% *}; n=0; prev=$(printf %064d 0)
while read -r line; do n=$((n + 1)); sum=$(printf %s "$line" | jq -cSj 'del(.hash)' | sha256sum); sum=\${sum%% *}
  test "$(printf %s "$line" | jq -r '"\\(.seq) \\(.prev) \\(.hash)"')" = "$n $prev $sum" || no "entry $n"; prev=$sum
done < log.ndjson
while read -r seal; do printf %s "$seal" | jq -cSj 'del(.signature)' > "$t/seal"; printf %s "$seal" | jq -j .signature | openssl base64 -d -A > "$t/sig"
  test "$(jq -r .keyId "$t/seal")" != "$id" || openssl pkeyutl -verify -rawin -pubin -inkey publicKey.pem -in "$t/seal" -sigfile "$t/sig" > "$t/said" || no "the signature of $seal"
done < seals.ndjson
jq -es --slurpfile s seals.ndjson 'map({count: .seq, head: .hash}) as $at | ($s | map({count, head})) as $s | ($s - $at | length) == 0 and $s[-1] == $at[-1]' log.ndjson > "$t/said" || no "a seal is not over this chain, or the last one or the tail is missing"
jq -es --slurpfile s seals.ndjson --arg id "$id" '[.[] | select(.kind == "seal.named").payload] == ($s[:-1] | map({count, head, keyId})) and [.[] | select(.kind == "key.changed").payload | {from, to}] == [range(1; $s | length) as $i | {from: $s[$i - 1].keyId, to: $s[$i].keyId} | select(.from != .to)] and $s[-1].keyId == $id and (. + $s | map(.runId) | unique | length) == 1' log.ndjson > "$t/said" || no "a seal is missing, added or by another key that no entry names"
jq -rs '[.[] | select(.kind == "raw.dropped").payload.sha256[]] as $gone | map(.payload | select(has("size"))) | map({(.name): .sha256}) | add | to_entries[] | select(.value as $v | $gone | index($v) | not) | "\\(.value)  \\(.key)"' log.ndjson | sha256sum -c --quiet || no "a file"
echo "whole: $n entries, head $prev, key $id"
\`\`\`

The lines do not look for files that no entry names; \`npm run --silent verify -- FOLDER --key publicKey.pem\` of Aslaid does. Seals made before the key was changed are checked by their place in
the chain, which the newer seals cover; their own keys stand after the first in \`publicKey.pem\`. jq prints an entry as RFC 8785 does because the log holds plain decimals, keys in ASCII and no U+007F.
`;
