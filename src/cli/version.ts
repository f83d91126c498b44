/** The version of the package this file was installed with. */
import { readFileSync } from 'node:fs';

/** package.json lies one folder above the program, two above its parts and above the source. */
export const version = (): string => {
  for (const place of ['../package.json', '../../package.json']) {
    try {
      const { name, version } = JSON.parse(readFileSync(new URL(place, import.meta.url), 'utf8'));
      if (name === 'reseat') return version;
    } catch (error) {
      if ((error as { code?: string }).code !== 'ENOENT') throw error;
    }
  }
  throw new Error('no package.json of reseat above the program');
};
