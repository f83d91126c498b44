import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { whereInJob } from '../../src/job/job.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { jobOf, least } from './message-of.js';

const profile = `name: Workshop bed
measured: 2026-03-02
size: [1200, 900]                 # mm; paths beyond it are refused
axes: y-up                        # or y-down
reading-sd: 0.06                  # mm per axis, one reading
reading-sd-dof: 18
reversal: [0.02, -0.01]           # mm, x and y
bed-map: {scale: [1.0004, 0.9998], skew-mrad: 0.35}
beam-offset: [0.12, -0.31]        # beam minus pointer, mm
kerf: 0.16
kerf-sd: 0.02
cut-sd: 0.03
`;
const bed = { 'bed.yaml': profile };

const at = (line: number, column: number, element: string) => ({
  file: 'jobs/fern.yaml',
  line,
  column,
  element,
});

describe('A job file', () => {
  test('with every key is read as it is written', () => {
    const job = jobOf(
      `title: Fern screen, film behind the panel
drawing: fern-screen.svg
units: mm                   # only for a drawing that states none
face: down
roles:
  marks: pegs
  openings: fronds
  outline: frame
marks:
  A: [20, 20]
  B: peg-hole-2
  01: [580, 380]
readings:
  A: [112.42, 96.10]
  B: [[671.93, 104.82], [671.90, 104.86]]   # repeated
  01:
    - 650.5
    - 470.25
witness:
  - {point: B, reading: [1, 2]}
  - {point: [300, 200], reading: [[400.5, 300], [400.25, 300]]}
machine: bed.yaml
fit: {model: similarity, reading-sd: 0.08, reading-sd-dof: 9, mark-sd: 0.03}
pierced: {kerf: 0.18, compensated: false}
cut:
  kind: inlay
  clearance: 0.4
  kerf: 0.12
  corners: round
  mitre-limit: 3
  tolerance: 0.01
  smallest-land: 1.5
  apply: rigid
check: {accepted-risk: 0.1, cut-sd: 0.04, kerf-sd: 0.01}
`,
      bed,
    );
    const { positions, ...values } = job;
    expect(positions).toBeInstanceOf(Map);
    expect(values).toEqual({
      path: 'jobs/fern.yaml',
      profile: 'bed.yaml',
      title: 'Fern screen, film behind the panel',
      drawing: 'fern-screen.svg',
      units: 'mm',
      face: 'down',
      roles: {
        marks: [{ text: 'pegs', where: at(6, 10, 'roles.marks') }],
        openings: [{ text: 'fronds', where: at(7, 13, 'roles.openings') }],
        outline: [{ text: 'frame', where: at(8, 12, 'roles.outline') }],
        stated: { marks: true, openings: true, outline: true },
      },
      marks: new Map<string, unknown>([
        ['A', { at: { x: 20, y: 20 } }],
        ['B', { shape: 'peg-hole-2' }],
        ['01', { at: { x: 580, y: 380 } }],
      ]),
      readings: [
        { mark: 'A', at: [{ x: 112.42, y: 96.1 }], line: 14 },
        {
          mark: 'B',
          at: [
            { x: 671.93, y: 104.82 },
            { x: 671.9, y: 104.86 },
          ],
          line: 15,
        },
        { mark: '01', at: [{ x: 650.5, y: 470.25 }], line: 17 },
      ],
      witness: [
        { point: { name: 'B' }, at: [{ x: 1, y: 2 }] },
        {
          point: { at: { x: 300, y: 200 } },
          at: [
            { x: 400.5, y: 300 },
            { x: 400.25, y: 300 },
          ],
        },
      ],
      machine: {
        name: 'Workshop bed',
        measured: '2026-03-02',
        size: [1200, 900],
        axes: 'y-up',
        readingSd: 0.06,
        readingSdDof: 18,
        reversal: [0.02, -0.01],
        bedMap: { scale: [1.0004, 0.9998], skew: 0.00035 },
        beamOffset: { x: 0.12, y: -0.31 },
        kerf: 0.16,
        kerfSd: 0.02,
        cutSd: 0.03,
      },
      fit: {
        model: 'similarity',
        modelStated: true,
        readingSd: 0.08,
        readingSdDof: 9,
        markSd: 0.03,
        markSdStated: true,
      },
      pierced: { kerf: 0.18, compensated: false },
      cut: {
        kind: 'inlay',
        clearance: 0.4,
        kerf: 0.12,
        corners: 'round',
        mitreLimit: 3,
        tolerance: 0.01,
        smallestLand: 1.5,
        apply: 'rigid',
      },
      check: {
        acceptedRisk: 0.1,
        cutSd: 0.04,
        kerfSd: 0.01,
        stated: { cutSd: true, kerfSd: true },
      },
    });
  });

  test('with a drawing and readings only is filled up with the documented defaults', () => {
    const { positions: _, ...values } = jobOf('drawing: fern.svg\nreadings: {A: [1, 2]}');
    expect(values).toEqual({
      path: 'jobs/fern.yaml',
      drawing: 'fern.svg',
      face: 'up',
      faceAssumed: true,
      roles: {
        marks: [{ text: 'marks' }],
        openings: [{ text: 'openings' }],
        outline: [{ text: 'outline' }],
        stated: { marks: false, openings: false, outline: false },
      },
      readings: [{ mark: 'A', at: [{ x: 1, y: 2 }], line: 2 }],
      machine: {
        axes: 'y-up',
        axesAssumed: true,
        bedMap: { scale: [1, 1], skew: 0 },
        beamOffset: { x: 0, y: 0 },
      },
      fit: { model: 'rigid', modelStated: false, markSd: 0 },
      pierced: { kerf: 0, compensated: true },
      cut: {
        kind: 'opening',
        clearance: 0.5,
        kerf: 0,
        corners: 'mitre',
        mitreLimit: 4,
        tolerance: 0.005,
        smallestLand: 1,
        apply: 'full',
      },
      check: { acceptedRisk: 0.05, cutSd: 0, kerfSd: 0, stated: { cutSd: false, kerfSd: false } },
    });
  });

  test('may be JSON, indented by tabs', () => {
    const json =
      '{\n\t"drawing": "fern.svg",\n\t"readings": {"A": [1.5, 2], "B": [[3, 4],\n\t\t[5, 6]]}\n}\n';
    expect(jobOf(json).readings.map(({ mark, at }) => [mark, at.length])).toEqual([
      ['A', 1],
      ['B', 2],
    ]);
  });

  test('may have a byte order mark, Windows line ends and no line end at its end', () => {
    const job = jobOf('\uFEFFdrawing: fern.svg\r\nreadings:\r\n  A: [1, 2]\r\nface: down');
    expect([job.drawing, job.face, job.readings[0]?.line]).toEqual(['fern.svg', 'down', 3]);
  });

  test('gives back any marks and readings that were written as JSON, digit for digit', () => {
    const coordinate = fc.double({ min: -100_000, max: 100_000, noNaN: true }).map((value) => 0 + value);
    const name = fc.string({ unit: 'grapheme-ascii', minLength: 1, maxLength: 8 }).map((text) => text.trim());
    const at = fc.array(fc.record({ x: coordinate, y: coordinate }), { minLength: 1, maxLength: 3 });
    const readings = fc.dictionary(
      name.filter((text) => text !== ''),
      at,
      { minKeys: 1, maxKeys: 5 },
    );
    fc.assert(
      fc.property(readings, fc.constantFrom(undefined, 1, '\t'), (written, indentation) => {
        const pairs = Object.entries(written).map(([mark, points]) => [
          mark,
          points.map(({ x, y }) => [x, y]),
        ]);
        const json = JSON.stringify(
          { drawing: 'a', readings: Object.fromEntries(pairs) },
          undefined,
          indentation,
        );
        expect(jobOf(json).readings.map(({ mark, at: read }) => [mark, read])).toEqual(
          Object.entries(written),
        );
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });

  test('keeps the names of marks as they are typed, also where they look like numbers or words', () => {
    const job = jobOf(
      'drawing: a\nreadings: {1: [1, 2], 01: [1, 2], 1.0: [1, 2], true: [1, 2], "~": [1, 2], __proto__: [1, 2]}',
    );
    expect(job.readings.map(({ mark }) => mark)).toEqual(['1', '01', '1.0', 'true', '~', '__proto__']);
  });

  test('may use an anchor for a value that comes twice', () => {
    expect(jobOf('drawing: a\nreadings: {A: &p [1, 2], B: *p}').readings[1]?.at).toEqual([{ x: 1, y: 2 }]);
  });

  test('takes readings from a table beside it and remembers where they stand', () => {
    const job = jobOf('drawing: a\nreadings: data/fern.csv', {
      'data/fern.csv': '# first pass\nmark;x;y\nA;1,5;2\nB;3;4\nA;1,25;2\n',
    });
    expect(job.readings).toEqual([
      {
        mark: 'A',
        at: [
          { x: 1.5, y: 2 },
          { x: 1.25, y: 2 },
        ],
        line: 3,
      },
      { mark: 'B', at: [{ x: 3, y: 4 }], line: 4 },
    ]);
    const where = { file: 'jobs/data/fern.csv', line: 4, element: 'readings.B' };
    expect(whereInJob(job, 'readings.B')).toEqual(where);
  });

  test('knows where its values stand, for messages of later steps', () => {
    const job = jobOf(
      `${least}marks:\n  B: hole\ncut: {clearance: 0.3}\nwitness:\n  - {point: B, reading: [1, 2]}\n`,
    );
    const place = (key: string): unknown[] => {
      const { line, column } = whereInJob(job, key);
      return [line, column];
    };
    expect(place('drawing')).toEqual([1, 10]);
    expect(place('readings.A')).toEqual([2, 15]);
    expect(place('marks.B')).toEqual([4, 6]);
    expect(place('cut.clearance')).toEqual([5, 18]);
    expect(place('witness[1].point')).toEqual([7, 13]);
    expect(whereInJob(job, 'machine')).toEqual({ file: 'jobs/fern.yaml', element: 'machine' });
  });

  test('with a pierced kerf alone means edges that were not compensated', () => {
    expect(jobOf(`${least}pierced: {kerf: 0.2}`).pierced).toEqual({ kerf: 0.2, compensated: false });
    expect(jobOf(`${least}pierced: {kerf: 0.2, compensated: true}`).pierced).toEqual({
      kerf: 0.2,
      compensated: true,
    });
  });

  test('may set what may be nothing to 0', () => {
    const job = jobOf(
      `${least}cut: {clearance: 0, kerf: 0, smallest-land: 0}\nfit: {mark-sd: 0}\ncheck: {cut-sd: 0, kerf-sd: 0}`,
    );
    expect([job.cut.clearance, job.cut.kerf, job.cut.smallestLand]).toEqual([0, 0, 0]);
  });
});

describe('The machine profile', () => {
  test('gives sd, kerf and cut sd to a job that states none', () => {
    const job = jobOf(`${least}machine: bed.yaml`, bed);
    expect(job.fit).toEqual({
      model: 'rigid',
      modelStated: false,
      readingSd: 0.06,
      readingSdDof: 18,
      markSd: 0,
    });
    expect(job.cut.kerf).toBe(0.16);
    expect(job.check).toEqual({
      acceptedRisk: 0.05,
      cutSd: 0.03,
      kerfSd: 0.02,
      stated: { cutSd: true, kerfSd: true },
    });
  });

  test('is overridden by the job, down to 0', () => {
    const job = jobOf(
      `${least}machine: bed.yaml\ncut: {kerf: 0}\ncheck: {cut-sd: 0, kerf-sd: 0.01}\nfit: {reading-sd-dof: 4}`,
      bed,
    );
    expect(job.cut.kerf).toBe(0);
    expect(job.check).toEqual({
      acceptedRisk: 0.05,
      cutSd: 0,
      kerfSd: 0.01,
      stated: { cutSd: true, kerfSd: true },
    });
    expect([job.fit.readingSd, job.fit.readingSdDof]).toEqual([0.06, 4]);
    expect([job.machine.kerf, job.machine.cutSd]).toEqual([0.16, 0.03]);
  });

  test('keeps its degrees of freedom for its own sd: they do not pass to one that the job states', () => {
    const inFit = jobOf(`${least}machine: bed.yaml\nfit: {reading-sd: 0.1}`, bed).fit;
    expect([inFit.readingSd, 'readingSdDof' in inFit]).toEqual([0.1, false]);
    const inline = jobOf(`${least}machine: {profile: bed.yaml, reading-sd: 0.1}`, bed);
    expect([inline.fit.readingSd, 'readingSdDof' in inline.fit, 'readingSdDof' in inline.machine]).toEqual([
      0.1,
      false,
      false,
    ]);
  });

  test('may be overridden key by key inside the job, the rest of it stays', () => {
    const { machine } = jobOf(
      `${least}machine:\n  profile: bed.yaml\n  axes: y-down\n  kerf: 0.2\n  bed-map: {skew-mrad: -1}`,
      bed,
    );
    const plain = readProfileText('bed.yaml', profile);
    const bedMap = { scale: [1.0004, 0.9998], skew: -0.001 };
    expect(machine).toEqual({ ...plain, axes: 'y-down', kerf: 0.2, bedMap });
  });

  test('may be written into the job without any profile', () => {
    const { machine, fit } = jobOf(
      `${least}machine: {size: [300, 200], reading-sd: 0.05, reading-sd-dof: 3.5}`,
    );
    expect(machine.size).toEqual([300, 200]);
    expect([fit.readingSd, fit.readingSdDof]).toEqual([0.05, 3.5]);
  });

  test('is looked for under the path as the job writes it', () => {
    const files = { '../profiles/bed.yaml': profile };
    expect(jobOf(`${least}machine: ../profiles/bed.yaml`, files).machine.name).toBe('Workshop bed');
  });
});

describe('Numbers and paths as people write them', () => {
  test('a number in quotes is read, with a decimal comma, too', () => {
    const job = jobOf(
      'drawing: a.svg\nreadings: {A: ["112,42", \'96.1\'], B: ["0,125", ",5"]}\ncut: {clearance: "0,5"}',
    );
    expect(job.readings.map(({ at }) => at[0])).toEqual([
      { x: 112.42, y: 96.1 },
      { x: 0.125, y: 0.5 },
    ]);
    expect(job.cut.clearance).toBe(0.5);
  });

  test('a # in a path is told where it has cut the path short, and read in quotes', () => {
    const rest = '\nreadings: {A: [1, 2], B: [3, 4]}';
    expect(() => jobOf(`drawing: lamp #2.svg${rest}`)).toThrow('"#2.svg" behind it is a comment');
    expect(jobOf(`drawing: "lamp #2.svg"${rest}`).drawing).toBe('lamp #2.svg');
    expect(jobOf(`drawing: lamp.svg # the new one, not old.svg${rest}`).drawing).toBe('lamp.svg');
    expect(() => jobOf(`drawing: a.svg${rest}\nmachine: bed #1.yaml`)).toThrow('"#1.yaml" behind it');
  });
});
