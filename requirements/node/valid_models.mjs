// Holds models against the glTF 2.0 specification with the validator of its publisher: no error, no warning.
import { readFileSync } from "node:fs";
import { basename } from "node:path";
import validator from "gltf-validator";

let wrong = 0;
for (const path of process.argv.slice(2)) {
  const { issues } = await validator.validateBytes(new Uint8Array(readFileSync(path)));
  if (!issues.numErrors && !issues.numWarnings) continue;
  wrong += 1;
  for (const { code, message, pointer } of issues.messages) {
    console.log(`${basename(path)} ${pointer}: ${code} ${message}`);
  }
}
console.log(`${process.argv.length - 2} models, ${wrong} of them wrong`);
process.exitCode = wrong ? 1 : 0;
