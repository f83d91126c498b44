/** DXF files that no one here drew, taken from packages when a test wants them and kept in a cache, never in the project. */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { npmPackage, run, unpacked } from './packages.js';

/** Of their data alone use is made: `three-dxf` changed its sample from one version to the next. */
const npmPackages = ['dxf@3.1.4', 'three-dxf@1.0.1', 'three-dxf@1.3.1', 'dxf2json@1.0.3'];
/** The drawing of `sample3.dxf` saved once more twelve minutes later: nothing differs but the times in it. */
const savedAgain = ['package/sample/sample4.dxf'];
/** The parts library of a drawing program: over a thousand small files. */
const debianPackage = 'librecad-data';
const fromDebian = 30;

export interface CorpusFile {
  /** The package and the path in it. */
  readonly name: string;
  readonly path: string;
  readonly bytes: Uint8Array;
}

export interface Corpus {
  /** No two with the same content. */
  readonly files: readonly CorpusFile[];
  /** Packages that could not be had, with the reason. */
  readonly missing: readonly string[];
}

export const fetchCorpus = (): Corpus => {
  const files: CorpusFile[] = [];
  const missing: string[] = [];
  const seen = new Set<string>();
  const take = (spec: string, folder: string, paths: readonly string[]): void => {
    for (const path of paths) {
      const bytes = new Uint8Array(readFileSync(join(folder, path)));
      const hash = createHash('sha256').update(bytes).digest('hex');
      if (seen.has(hash)) continue;
      seen.add(hash);
      files.push({ name: `${spec} ${path}`, path: join(folder, path), bytes });
    }
  };
  for (const spec of npmPackages) {
    const folder = npmPackage(spec);
    if (typeof folder === 'string')
      take(
        spec,
        folder,
        drawingsIn(folder).filter((path) => !savedAgain.some((end) => path.endsWith(end))),
      );
    else missing.push(`${spec}: ${folder.reason}`);
  }
  const folder = unpacked(debianPackage, (into) => {
    run('apt-get', ['download', debianPackage], into);
    run('dpkg-deb', ['-x', readdirSync(into).find((name) => name.endsWith('.deb'))!, into], into);
  });
  if (typeof folder === 'string') {
    const all = drawingsIn(folder);
    const step = Math.max(1, Math.floor(all.length / fromDebian));
    take(
      debianPackage,
      folder,
      all.filter((_, i) => i % step === 0),
    );
  } else missing.push(`${debianPackage}: ${folder.reason}`);
  return { files, missing };
};

const drawingsIn = (folder: string): string[] =>
  readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.dxf$/i.test(name))
    .sort();
