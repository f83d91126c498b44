/** How a message names what is to be written into the job file. */
import type { Job } from './job.js';

/**
 * `"face: down"`, `"face: down" in place of the "face:" there`, `"fit: {model: affine}"`, or, where
 * that section is there already, `"model: affine" under "fit:"`.
 *
 * @param key of the job, with its section: `face`, `fit.model`, `machine.axes`
 */
export const toWrite = (
  { positions, profile }: Pick<Job, 'positions' | 'profile'>,
  key: string,
  value: string,
): string => {
  const [section, name] = key.split('.');
  if (name === undefined)
    return `"${key}: ${value}"${positions?.has(key) ? ` in place of the "${key}:" there` : ''}`;
  if (section === 'machine' && profile !== undefined) return `"${name}: ${value}" in ${profile}`;
  return positions?.has(section!)
    ? `"${name}: ${value}" under "${section}:"`
    : `"${section}: {${name}: ${value}}"`;
};
