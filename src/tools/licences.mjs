// The licences of everything that a build holds, from the packages whose files went into it.
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

const HEAD = `First Raster contains the following packages. Each is under its own licence, which stands below its name.
`;

/** Folder of the package that a bundled file belongs to, relative to the project; `undefined` for files of our own. */
const packageOf = (path) => /^(.*node_modules\/(?:@[^/]+\/)?[^/]+)/.exec(path.replace(/^[^:]*:/, ''))?.[1];

/** A copyright line that a package states in its manifest only. */
function author({ author: by }) {
  if (by === undefined) return '';
  return typeof by === 'string' ? by : (by.name ?? '');
}

/** The text of the licences of the packages that `inputs` (paths relative to `root`) come from. Throws for one that names none. */
export function licencesOf(root, inputs) {
  const folders = [...new Set(inputs.map(packageOf).filter((folder) => folder !== undefined))];
  const entries = folders.map((folder) => {
    const at = join(root, folder);
    const manifest = JSON.parse(readFileSync(join(at, 'package.json'), 'utf8'));
    const file = readdirSync(at).find((name) => /^(licen[cs]e|copying)(\.|$|-)/i.test(name));
    if (manifest.license === undefined && file === undefined)
      throw new Error(`${manifest.name} names no licence`);
    const text =
      file !== undefined && existsSync(join(at, file))
        ? readFileSync(join(at, file), 'utf8').trim()
        : `Licence as named in its manifest: ${manifest.license}. ${author(manifest)}`.trim();
    return { title: `${manifest.name} ${manifest.version} (${manifest.license ?? 'see below'})`, text };
  });
  entries.sort((a, b) => (a.title < b.title ? -1 : 1));
  return [HEAD, ...entries.map(({ title, text }) => `${'-'.repeat(78)}\n${title}\n\n${text}\n`)].join('\n');
}
