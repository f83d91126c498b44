/** SVG files that no one here drew, taken from packages when a test wants them. */
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { npmPackage } from './packages.js';

export interface SvgFile {
  /** The package and the path in it. */
  readonly name: string;
  readonly text: string;
}

/** Flags are full of groups, transforms and `use`, icons of dense path data. */
const packages = ['flag-icons@7.5.0', '@mdi/svg@7.4.47', 'svg-country-flags@1.2.10'];
/** The icons of game-icons.net, in one JSON file. */
const iconify = '@iconify-json/game-icons@1.2.4';
const fromEach = 16;
/** Larger files are left aside: a browser takes long over them. */
const largest = 60_000;

/**
 * Evenly from the whole list, so that it is not all letters A; of these every second. Others were looked at by hand: where a
 * file differs it is the browser that is off (it counts a last moveto into the box, and is coarse about half turns of ellipses
 * whose radii are too small), or the library that moves the arcs for it.
 */
const spread = <T>(list: readonly T[]): T[] => {
  const step = Math.max(1, Math.floor(list.length / fromEach));
  return list
    .filter((_, i) => i % step === 0)
    .slice(0, fromEach)
    .filter((_, i) => i % 2 === 0);
};

export const fetchSvgCorpus = (): {
  readonly files: readonly SvgFile[];
  readonly missing: readonly string[];
} => {
  const files: SvgFile[] = [];
  const missing: string[] = [];
  for (const spec of packages) {
    const folder = npmPackage(spec);
    if (typeof folder !== 'string') {
      missing.push(`${spec}: ${folder.reason}`);
      continue;
    }
    const paths = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((name) =>
      /\.svg$/i.test(name),
    );
    const texts = spread(paths.sort()).map((path) => ({
      name: `${spec} ${path}`,
      text: readFileSync(join(folder, path), 'utf8'),
    }));
    files.push(...texts.filter(({ text }) => text.length <= largest));
  }
  const folder = npmPackage(iconify);
  if (typeof folder !== 'string') missing.push(`${iconify}: ${folder.reason}`);
  else {
    const {
      icons,
      width = 512,
      height = 512,
    } = JSON.parse(readFileSync(join(folder, 'package', 'icons.json'), 'utf8'));
    for (const name of spread(Object.keys(icons).sort())) {
      const text = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}">${icons[name].body}</svg>`;
      files.push({ name: `${iconify} ${name}`, text });
    }
  }
  return { files, missing };
};
