// Bundles the page: node scripts/build.mjs [--out FOLDER]. Scripts, styles and
// the icon get names that change with their content; the two pages name them.
import { build } from "esbuild";
import { readFile, writeFile, mkdir, rm } from "node:fs/promises";
import { basename, dirname, join, resolve } from "node:path";
import { fileURLToPath } from "node:url";

const web = dirname(dirname(fileURLToPath(import.meta.url)));
const at = process.argv.indexOf("--out");
const out = at > 0 ? resolve(process.argv[at + 1]) : join(web, "dist");

await rm(out, { recursive: true, force: true });
await mkdir(out, { recursive: true });
// What is compiled in asks that its terms travel with it.
const terms = await readFile(
  join(web, "node_modules", "preact", "LICENSE"), "utf8");
const result = await build({
  absWorkingDir: web,
  entryPoints: ["main.tsx app", "style.css style", "icon.svg icon", "door.ts door",
    "door.css door"].map((pair) => pair.split(" "))
    .map(([file, name]) => ({ in: `src/${file}`, out: name })),
  bundle: true,
  minify: true,
  format: "esm",
  target: ["es2020", "safari15"],
  jsx: "automatic",
  jsxImportSource: "preact",
  loader: { ".svg": "copy" },
  entryNames: "[name]-[hash]",
  outdir: out,
  legalComments: "none",
  banner: { js: `/* preact\n${terms.trim()}\n*/` },
  metafile: true,
});

// The door first: a build that stops half-way has no index.html and is seen as
// none.
const head = await readFile(join(web, "head.html"), "utf8");
for (const html of ["door.html", "index.html"]) {
  let page = await readFile(join(web, html), "utf8");
  page = page.replace("<!--head-->\n", head);
  for (const file of Object.keys(result.metafile.outputs)) {
    const [name] = basename(file).split("-");
    const extension = file.slice(file.lastIndexOf("."));
    page = page.replaceAll(`/${name}${extension}`, `/${basename(file)}`);
  }
  await writeFile(join(out, html), page);
}
