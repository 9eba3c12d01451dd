// Runs the tests: node scripts/test.mjs unit|browser. They are bundled for
// Node's own test runner first, since Node 18 does not read TypeScript.
import { build } from "esbuild";
import { spawnSync } from "node:child_process";
import { readdirSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

const web = dirname(dirname(fileURLToPath(import.meta.url)));
const kind = process.argv[2];
const suffix = kind === "browser" ? ".browser.ts" : ".test.ts";
const names = readdirSync(join(web, "test")).filter((n) => n.endsWith(suffix));
if (names.length === 0) throw new Error(`no tests of the kind "${kind}"`);

const out = join(web, "node_modules", ".cache", `test-${kind}-${process.pid}`);
const result = await build({
  absWorkingDir: web,
  entryPoints: names.map((name) => join("test", name)),
  bundle: true,
  packages: "external",
  platform: "node",
  target: "node18",
  format: "esm",
  jsx: "automatic",
  jsxImportSource: "preact",
  outdir: out,
  outExtension: { ".js": ".mjs" },
  sourcemap: "inline",
  metafile: true,
});
const files = Object.keys(result.metafile.outputs).map((f) => join(web, f));
const run = spawnSync(
  process.execPath,
  ["--enable-source-maps", "--test", ...files],
  { cwd: web, stdio: "inherit" },
);
rmSync(out, { recursive: true, force: true });
process.exit(run.status ?? 1);
