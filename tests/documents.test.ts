/** The tables of the documents against the lists in the code: a key or a code that is missing in either is a defect. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const textOf = (path: string): string => readFileSync(new URL(`../${path}`, import.meta.url), 'utf8');

/** Words in the first cell of the table rows below a heading or a line of text, up to the next prose. */
const firstCells = (text: string, after: string): string[] => {
  const from = text.indexOf(after);
  if (from < 0) throw new Error(`The document has no line "${after}".`);
  const lines = text.slice(from + after.length).split('\n');
  const start = lines.findIndex((line) => line.startsWith('|'));
  const rows: string[] = [];
  for (const line of lines.slice(start)) {
    if (!line.startsWith('|')) break;
    rows.push(line);
  }
  return rows.flatMap((row) => [...(row.split('|')[1] ?? '').matchAll(/`([^`]+)`/g)].map((m) => m[1]!));
};

/** The words of `const NAME = ['a', 'b'] as const;`. */
const wordsOf = (path: string, name: string): string[] => {
  const found = new RegExp(`const ${name} = \\[([^\\]]*)\\]`).exec(textOf(path));
  if (!found) throw new Error(`${path} has no list ${name}.`);
  return [...found[1]!.matchAll(/'([^']+)'/g)].map((m) => m[1]!);
};

const sorted = (words: Iterable<string>): string[] => [...new Set(words)].sort();

describe('the documents name every key and every code that the program knows, and no other', () => {
  const job = textOf('src/job/README.md');
  const topKeys = firstCells(job, '## Keys');

  it('keys at the top of a job', () => {
    // These have a table of their own.
    const own = ['fit', 'cut', 'check', 'film'];
    expect(sorted([...topKeys, ...own])).toEqual(sorted(wordsOf('src/job/job-keys.ts', 'jobKeys')));
  });

  it.each([
    ['Under `fit`:', 'src/job/read/read-job.ts', 'fitKeys'],
    ['Under `cut`:', 'src/job/read/read-job.ts', 'cutKeys'],
    ['Under `check`:', 'src/job/read/read-job.ts', 'checkKeys'],
    ['Under `film`:', 'src/job/read/read-film.ts', 'filmKeys'],
    ['from-edge: 8\n```', 'src/job/read/read-plan.ts', 'planKeys'],
    ['| key of a touch', 'src/job/read/read-touches.ts', 'touchKeys'],
    ['| key of a gap', 'src/job/read/read-gaps.ts', 'gapKeys'],
  ])('keys of a job below "%s"', (heading, file, list) => {
    expect(sorted(firstCells(job, heading).filter((word) => word !== 'plan'))).toEqual(
      sorted(wordsOf(file, list)),
    );
  });

  it('keys of a machine profile', () => {
    const named = firstCells(textOf('calibration/README.md'), '## Keys of a profile');
    expect(sorted(named)).toEqual(
      sorted(['format', ...wordsOf('src/job/read/read-machine.ts', 'machineKeys'), 'inspected', 'history']),
    );
  });

  it('warning codes, each with what to do', () => {
    const messages = textOf('src/job/messages.ts');
    const union = /export type WarningCode =([^;]*);/.exec(messages)![1]!;
    const codes = [...union.matchAll(/'([^']+)'/g)].map((m) => m[1]!);
    const table = textOf('src/report/README.md');
    expect(sorted(firstCells(table, '## Warnings, and what to do'))).toEqual(sorted(codes));
    const rows = table
      .slice(table.indexOf('## Warnings, and what to do'))
      .split('\n')
      .filter((line) => line.startsWith('| `'));
    for (const row of rows)
      expect(
        row
          .split('|')
          .map((cell) => cell.trim())
          .filter(Boolean),
      ).toHaveLength(3);
  });

  it('members of each object of --json, from its schema', () => {
    const text = textOf('src/report/README.md');
    for (const command of ['list', 'plan', 'fit', 'check', 'cut', 'scan', 'inspect']) {
      const from = text.indexOf(`### ${command}\n`);
      const section = text.slice(from, text.indexOf('##', from + 4));
      const schema = JSON.parse(textOf(`dist/schemas/${command}.schema.json`));
      const type = schema.$ref.split('/').at(-1);
      const members = Object.keys(schema.definitions[type].properties);
      const unsaid = members.filter(
        (name) => !['schemaVersion', 'job', 'warnings'].includes(name) && !section.includes(`\`${name}\``),
      );
      expect(unsaid, command).toEqual([]);
    }
  });

  it('links between documents lead somewhere', () => {
    for (const path of [
      'README.md',
      'DEVELOPERS.md',
      'calibration/README.md',
      'src/job/README.md',
      'src/report/README.md',
    ]) {
      const folder = new URL(`../${path}`, import.meta.url);
      for (const [, target] of textOf(path).matchAll(/\]\(([^)#\s]+)[^)]*\)/g)) {
        if (/^https?:/.test(target!)) continue;
        expect(() => readFileSync(new URL(target!, folder)), `${target} in ${path}`).not.toThrow(/ENOENT/);
      }
    }
  });

  it('the README stays short, and its prose within 100 columns', () => {
    for (const path of ['README.md', 'calibration/README.md', 'src/job/README.md', 'src/report/README.md']) {
      const lines = textOf(path).split('\n');
      if (path === 'README.md') expect(lines.length).toBeLessThanOrEqual(170);
      let inCode = false;
      for (const line of lines) {
        if (line.startsWith('```')) inCode = !inCode;
        if (!inCode && !line.startsWith('|')) expect(line.length, line).toBeLessThanOrEqual(100);
      }
    }
  });
});
