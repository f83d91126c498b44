import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { updateProfile } from '../../src/calibration/profile.js';
import { type Proposal, proposalLines } from '../../src/calibration/proposal.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { messageOf } from '../job/message-of.js';

const kerf: Proposal = { part: 'kerf', set: { kerf: 0.214, 'kerf-sd': 0.008 }, remove: [] };
const bed: Proposal = {
  part: 'bed',
  set: { 'bed-map': { scale: [1.00031, 0.99971], 'skew-mrad': -0.4 } },
  remove: [],
};
const pointer: Proposal = { part: 'pointer', set: { 'reading-sd': 0.0029 }, remove: ['reading-sd-dof'] };

const updated = (text: string, proposal: Proposal, date = '2026-11-25') =>
  updateProfile({ path: 'bench.yaml', text }, proposal, date);

describe('A profile that is written', () => {
  const workshop = readFileSync(new URL('../../calibration/profiles/workshop.yaml', import.meta.url), 'utf8');

  test('keeps every comment, and every line but those of the new values and their date', () => {
    const { text } = updated(workshop, bed);
    const before = workshop.split('\n');
    const after = text.split('\n');
    const comments = (lines: string[]) => lines.flatMap((l) => l.match(/#.*/) ?? []);
    expect(comments(after)).toEqual(comments(before));
    const changed = before.filter((line) => !after.includes(line)).map((line) => line.replace(/:.*/, ''));
    expect(changed).toEqual(['measured', 'bed-map']);
  });

  test('reads again with the new values and otherwise as before', () => {
    const old = readProfileText('bench.yaml', workshop);
    const now = readProfileText('bench.yaml', updated(workshop, bed).text);
    expect(now.bedMap).toEqual({ scale: [1.00031, 0.99971], skew: -0.0004 });
    const { bedMap: _a, measured: _b, ...others } = old;
    expect(now).toMatchObject(others);
  });

  test('keeps the old values with the dates they were measured and replaced, the newest last', () => {
    const once = updated('measured: 2026-03-02\nkerf: 0.3 # plywood\n', kerf, '2026-11-25');
    expect(once.replaced).toEqual({ measured: '2026-03-02', values: { kerf: 0.3 } });
    const twice = updated(once.text, { ...kerf, set: { kerf: 0.25, 'kerf-sd': 0.01 } }, '2027-01-07');
    expect(twice.text).toBe(`measured: {kerf: 2027-01-07}
kerf: 0.25 # plywood
kerf-sd: 0.01

history:
  - measured: 2026-03-02
    replaced: 2026-11-25
    kerf: 0.3
  - measured: 2026-11-25
    replaced: 2027-01-07
    kerf: 0.214
    kerf-sd: 0.008
`);
  });

  test('leaves the date of what was not measured anew as it was', () => {
    const { text } = updated('measured: 2026-03-02\nkerf: 0.3\nreading-sd: 0.06\n', bed);
    expect(readProfileText('bench.yaml', text)).toMatchObject({
      measured: '2026-03-02',
      measuredParts: { pointer: '2026-03-02', bed: '2026-11-25', kerf: '2026-03-02' },
    });
    expect(text).not.toContain('history');
  });

  test('takes out what no longer holds', () => {
    const { text } = updated('reading-sd: 0.06\nreading-sd-dof: 18\n', pointer);
    expect(readProfileText('bench.yaml', text).readingSdDof).toBeUndefined();
    expect(text).toContain('    reading-sd-dof: 18\n');
  });

  test('begins as a new file where there is none', () => {
    const { text, replaced } = updateProfile({ path: 'new.yaml' }, bed, '2026-11-25');
    expect(replaced).toBeUndefined();
    expect(text).toBe(`# A machine profile: what is known of this machine. Lengths in millimetres.

measured: {bed: 2026-11-25}
bed-map: {scale: [1.00031, 0.99971], skew-mrad: -0.4}
`);
    expect(readProfileText('new.yaml', text).bedMap.scale).toEqual([1.00031, 0.99971]);
  });

  test('may be written as blocks, as JSON, with Windows line ends, or with a bed map of one part', () => {
    const block = updated('bed-map:\n  # by rule\n  scale:\n    - 1.1 # x\n    - 0.9\n', bed).text;
    expect(block).toContain('# by rule\n');
    expect(block).toContain('- 1.00031 # x\n');
    const json = updated('{"kerf": 0.3, "measured": "2020-01-02"}', kerf).text;
    expect(readProfileText('bench.yaml', json)).toMatchObject({ kerf: 0.214, measured: '2026-11-25' });
    const windows = updated('kerf: 0.3\r\naxes: y-down\r\n', kerf).text;
    expect(windows.replaceAll('\r\n', '')).not.toContain('\n');
    expect(readProfileText('bench.yaml', windows).axes).toBe('y-down');
  });

  test('never grows digits of its own', () => {
    expect(updated('kerf: 0.3000\n', kerf).text).toContain('kerf: 0.214\n');
    expect(proposalLines({ part: 'kerf', set: { kerf: 1e-7 }, remove: [] })).toEqual(['kerf: 0.0000001']);
  });

  test('reads back as it was meant however often and in whatever order parts are measured', () => {
    const value = fc.integer({ min: 1, max: 999 }).map((n) => n / 1000);
    const proposals = fc.array(
      fc.oneof(
        value.map((v): Proposal => ({ part: 'kerf', set: { kerf: v }, remove: ['kerf-sd'] })),
        fc
          .tuple(value, value)
          .map(([a, b]): Proposal => ({ part: 'beam', set: { 'beam-offset': [a, -b] }, remove: [] })),
        value.map(
          (v): Proposal => ({ part: 'pointer', set: { 'reading-sd': v }, remove: ['reading-sd-dof'] }),
        ),
        value.map((v): Proposal => ({ ...bed, set: { 'bed-map': { scale: [1 + v, 1], 'skew-mrad': v } } })),
      ),
      { minLength: 1, maxLength: 8 },
    );
    fc.assert(
      fc.property(proposals, (list) => {
        let text = workshop;
        for (const proposal of list) text = updated(text, proposal).text;
        const machine = readProfileText('bench.yaml', text);
        const lastOf = (key: string) => list.findLast((p) => key in p.set)?.set[key];
        expect(machine.kerf).toBe(lastOf('kerf'));
        expect(machine.beamOffset.x).toBe((lastOf('beam-offset') as number[] | undefined)?.[0] ?? 0.12);
        expect(machine.readingSd).toBe(lastOf('reading-sd') ?? 0.06);
        // Each value that was there before is in the history once.
        const first = new Set(list.map((p) => p.part));
        const entries = list.length - (first.has('kerf') ? 1 : 0);
        expect(text.match(/ replaced: /g)?.length ?? 0).toBe(entries);
        for (const comment of workshop.match(/^# .*/gm)!) expect(text).toContain(comment);
      }),
      { seed: 20261125, numRuns: 60 },
    );
  });
});

describe('A profile is not written', () => {
  test.each([
    [
      'by a version older than it',
      'format: 2\nlens: 50\n',
      'bench.yaml:1:9 (format) format 2: the profile was written by a newer version; expected format 1. Install the newer version to use this profile. It was left as it is.',
    ],
    [
      'when it is not sound itself',
      'kerff: 0.2\n',
      'bench.yaml:1:1 (kerff) the unknown key "kerff"; expected format, name, measured, size, axes, reading-sd, reading-sd-dof, reversal, bed-map, bed-map-sd, beam-offset, beam-offset-sd, beam-offset-approach, beam-offset-dots, cut-reversal, display-step, pointing-sd, pointing-bias, kerf, kerf-sd, kerf-dof, cut-sd, cut-sd-dof, nc, inspected or history. Did you mean "kerf"?',
    ],
    [
      'when a value of it stands for another',
      'kerf: &k 0.3\ncut-sd: *k\n',
      'bench.yaml the alias *k; expected plain values in a profile that is to be written. Write the value out in its place. The profile was left as it is.',
    ],
  ])('%s', (_what, text, message) => {
    expect(messageOf(() => updated(text, kerf))).toBe(message);
  });
});
