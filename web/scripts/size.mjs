// Measures what the first page loads and fails if its JavaScript, compressed, passes the limit. Run after `npm run build`.

import { readFileSync } from "node:fs";
import { dirname, join, posix } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";

/** The limit on the first load's JavaScript, compressed [kB]. */
const limit = 350;

const dist = join(dirname(fileURLToPath(import.meta.url)), "../dist");
const page = readFileSync(join(dist, "index.html"), "utf8");

/** Scripts that the page names, and all that they import before anything runs. */
const wanted = [...page.matchAll(/(?:src|href)="\/([^"]+\.js)"/g)].map((match) => match[1]);
const seen = new Set();
while (wanted.length > 0) {
  const path = wanted.pop();
  if (seen.has(path)) continue;
  seen.add(path);
  const code = readFileSync(join(dist, path), "utf8");
  for (const match of code.matchAll(/(?:from|^import|;import|}import)\s*"(\.\/[^"]+\.js)"/g)) {
    wanted.push(posix.join(posix.dirname(path), match[1]));
  }
}

let total = 0;
for (const path of [...seen].sort()) {
  const size = gzipSync(readFileSync(join(dist, path))).length / 1000;
  total += size;
  process.stdout.write(`${size.toFixed(1).padStart(7)} kB  ${path}\n`);
}
process.stdout.write(`${total.toFixed(1).padStart(7)} kB  in all, limit ${limit} kB\n`);
if (total > limit) process.exitCode = 1;
