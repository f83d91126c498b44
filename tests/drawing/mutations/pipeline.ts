/** A drawing through everything that is done with drawings: listed, fitted, cut, written. */
import { listDrawing } from '../../../src/drawing/list-drawing.js';
import { writeCutFile } from '../../../src/drawing/write/write.js';
import { InputError } from '../../../src/job/messages.js';
import { listJson } from '../../../src/report/json/list-json.js';
import { listText } from '../../../src/report/text/list-text.js';
import { cutJob, loadJob } from '../../../src/reseat.js';

export type Course = 'refused' | 'listed' | 'cut';

/**
 * How far a drawing gets.
 * @throws for anything but an input error, for a number that is none, and for a message without its file
 */
export const throughPipeline = (bytes: Uint8Array, path: string, kind: 'opening' | 'as-drawn'): Course => {
  const listed = attempt(path, () => listDrawing(bytes, path, { units: 'mm' }));
  if (listed === undefined) return 'refused';
  if (listed.rows.length === 0) throw new Error('a drawing without shapes is listed');
  holdsOnlyNumbers(listJson(listed), 'list');
  listText(listed);
  const marks = { P: [0, 0], Q: [100, 0], R: [0, 80] };
  const job = {
    drawing: path,
    units: 'mm',
    // Where the roles are in doubt, the first reading is stated: otherwise nothing would be cut.
    roles: listed.roles.doubt === undefined ? {} : { openings: listed.roles.openings.map(({ id }) => id) },
    marks,
    readings: { P: [500.02, 400], Q: [600, 400.01], R: [500, 480.01] },
    fit: { 'reading-sd': 0.05 },
    cut: { kind, ...(kind === 'opening' ? { clearance: 0.3, kerf: 0.1 } : {}) },
  };
  const made = attempt(path, () =>
    cutJob(
      loadJob(
        { path: 'fern.yaml', text: JSON.stringify(job) },
        { read: (name) => (name === path ? bytes : undefined) },
      ),
    ),
  );
  if (made === undefined || !made.ok) return 'listed';
  const { cut } = made;
  holdsOnlyNumbers(
    cut.paths.map(({ segments, length, area, box }) => ({ segments, length, area, box })),
    'cut',
  );
  const values = writeCutFile(made.file, 'dxf').split(/\r?\n/);
  for (let i = 0; i + 1 < values.length; i += 2) {
    const code = Number(values[i]);
    if (code >= 10 && code < 60 && !Number.isFinite(Number.parseFloat(values[i + 1]!))) {
      throw new Error(`${values[i + 1]} in the cut file`);
    }
  }
  for (const [, data] of writeCutFile(made.file, 'svg').matchAll(/ d="([^"]*)"/g)) {
    if (!/^[MLHVACZ0-9 .,-]*$/i.test(data!)) throw new Error(`${data} in the cut file`);
  }
  return 'cut';
};

const attempt = <T>(path: string, work: () => T): T | undefined => {
  try {
    return work();
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const words = [error.found, error.expected, error.next, JSON.stringify(error.where)].join(' ');
    if (/\[object|NaN mm|Infinity/.test(words)) throw new Error(`a message that says nothing: ${words}`);
    if (error.where.file !== path && error.where.file !== 'fern.yaml') {
      throw new Error(`a message without its file: ${words}`);
    }
    return undefined;
  }
};

const holdsOnlyNumbers = (value: unknown, where: string): void => {
  if (typeof value === 'number' && !Number.isFinite(value)) throw new Error(`${value} in ${where}`);
  if (value === null || typeof value !== 'object') return;
  for (const [key, inner] of Object.entries(value)) holdsOnlyNumbers(inner, `${where}.${key}`);
};
