// Makes dist/echarts.js, a classic script that sets the global `echarts`, and dist/THIRD-PARTY.txt, the licences of
// everything in it. Both are read from node_modules; the same lock file gives the same bytes.
import { mkdirSync, readFileSync, readdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const here = fileURLToPath(new URL('.', import.meta.url));

// byName sorts by code unit, so that the order is the same in every locale.
const byName = (a, b) => (a < b ? -1 : a > b ? 1 : 0);

// packageFolders returns the sorted folders of the npm packages that put code into the bundle.
function packageFolders(metafile) {
  const [output] = Object.values(metafile.outputs);
  const folders = new Set();
  for (const [path, { bytesInOutput }] of Object.entries(output.inputs)) {
    const found = path.match(/^(.*node_modules\/(?:@[^/]+\/)?[^/]+)\//);
    if (found && bytesInOutput > 0) folders.add(found[1]);
  }
  return [...folders].sort(byName);
}

// licenceFiles returns the sorted paths, below a package's folder, of its licences and notices.
function licenceFiles(folder) {
  const entries = readdirSync(folder, { withFileTypes: true });
  const top = entries.filter((e) => e.isFile() && /^(licen[cs]e|notice)/i.test(e.name)).map((e) => e.name);
  const below = entries
    .filter((e) => e.isDirectory() && /^licen[cs]es$/i.test(e.name))
    .flatMap((e) => readdirSync(join(folder, e.name)).map((name) => `${e.name}/${name}`));
  return [...top, ...below].sort(byName);
}

// readPackage returns name, version, licence and licence texts of a package, or throws if one of them is missing.
function readPackage(folder) {
  const { name, version, license } = JSON.parse(readFileSync(join(here, folder, 'package.json'), 'utf8'));
  const texts = licenceFiles(join(here, folder)).map((file) => ({
    file,
    text: readFileSync(join(here, folder, file), 'utf8').replace(/\r\n/g, '\n').replace(/^\n+|\s+$/g, ''),
  }));
  if (!license || texts.length === 0) throw new Error(`${folder}: found no licence to ship with the bundle`);
  return { name, version, license, texts };
}

// thirdParty returns the text of THIRD-PARTY.txt.
function thirdParty(packages) {
  const rule = '='.repeat(78);
  const intro =
    'Licences of the chart script echarts.js.\n\n' +
    'The script is a minified build of selected modules of the packages below;\n' +
    'their code was not changed otherwise.\n\n' +
    packages.map((p) => `  ${p.name} ${p.version} (${p.license})`).join('\n');
  const sections = packages.flatMap((p) =>
    p.texts.map(({ file, text }) => `${rule}\n${p.name} ${p.version} (${p.license}): ${file}\n${rule}\n\n${text}`),
  );
  return [intro, ...sections].join('\n\n') + '\n';
}

const { outputFiles, metafile } = await build({
  absWorkingDir: here,
  entryPoints: ['live-entry.js'],
  outfile: 'dist/echarts.js',
  bundle: true,
  minify: true,
  format: 'iife',
  globalName: 'echarts',
  target: 'es2020',
  charset: 'ascii', // reads the same whatever charset a page is served with
  define: { 'process.env.NODE_ENV': '"production"' },
  legalComments: 'none', // all of them are in THIRD-PARTY.txt
  metafile: true,
  write: false,
  logLevel: 'warning',
});

const packages = packageFolders(metafile).map(readPackage);
const contents = packages.map((p) => `${p.name} ${p.version} (${p.license})`).join(', ');
const banner = `/*! ${contents}. Licences: THIRD-PARTY.txt */\n`;

// Written last and together: a build that fails leaves what was there.
mkdirSync(join(here, 'dist'), { recursive: true });
writeFileSync(join(here, 'dist/THIRD-PARTY.txt'), thirdParty(packages));
writeFileSync(join(here, 'dist/echarts.js'), banner + outputFiles[0].text);
