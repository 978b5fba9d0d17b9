// SPDX-License-Identifier: GPL-3.0-or-later
// node check_glb.js FILE…: what the Khronos glTF validator says of each file. Exit code 1 when it has an error or a
// warning, or when a file shows nothing.
const fs = require("fs");
const { createRequire } = require("module");
const validator = createRequire(process.cwd() + "/")("gltf-validator");

async function check(file) {
  const report = await validator.validateBytes(new Uint8Array(fs.readFileSync(file)), { uri: file, maxIssues: 50 });
  const { numErrors, numWarnings, numInfos, numHints, messages } = report.issues;
  console.log(`${file}: ${numErrors} errors, ${numWarnings} warnings, ${numInfos} notes, ${numHints} hints;`,
              `${report.info.drawCallCount} parts, ${report.info.totalTriangleCount} triangles`);
  for (const m of messages) console.log(`  ${m.code} at ${m.pointer ?? m.offset}: ${m.message}`);
  return numErrors === 0 && numWarnings === 0 && report.info.drawCallCount > 0;
}

(async () => {
  const files = process.argv.slice(2);
  let good = files.length > 0;
  for (const file of files) {
    // Not GLB at all: the validator throws instead of reporting.
    const fine = await check(file).catch((reason) => (console.log(`${file}: refused: ${reason}`), false));
    good = fine && good;
  }
  process.exit(good ? 0 : 1);
})();
