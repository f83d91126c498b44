/**
 * Calls of the command line with mistakes in them, by number: the same number is the same call. Half of the files are those
 * of one sound call, mutated; the others keep one file sound, so that mistakes in the second are reached.
 */

import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import { jobText, panel } from '../cli/panel.js';
import { mutatedLoose } from '../drawing/mutations/dxf.js';
import { mutated } from '../drawing/mutations/svg.js';
import { pictureFile } from './pictures.js';

/** A call and the files that are there; bytes as latin-1 text, so that they can stand in JSON. */
export interface FuzzCase {
  readonly argv: readonly string[];
  readonly files: Readonly<Record<string, string>>;
  /** On standard input, where the call reads a job from there. */
  readonly stdin?: string;
}

const latin1 = (bytes: Uint8Array): string => {
  let text = '';
  for (let i = 0; i < bytes.length; i += 8192) text += String.fromCharCode(...bytes.subarray(i, i + 8192));
  return text;
};

/** SVG with what drawing programs write beyond plain shapes. */
const rich = `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="200mm" height="100mm" viewBox="0 0 200 100">
  <style>.hole { fill: none; stroke: #f00 } #moon { r: 10px } @media print { .hole { display: none } }</style>
  <defs><symbol id="leaf" viewBox="0 0 10 10"><path d="M0 5C2 0 8 0 10 5S2 10 0 5z"/></symbol><g id="pair"><circle cx="2" cy="2" r="1"/><circle cx="7" cy="2" r="1"/></g></defs>
  <g id="marks"><circle id="A" cx="10" cy="90" r="1"/><path id="B" d="M188 90h4M190 88v4"/><circle id="C" cx="190" cy="10" r="1"/><circle id="D" cx="10" cy="10" r="1"/></g>
  <g id="openings" transform="translate(0 0) rotate(0.5)">
    <circle id="moon" class="hole" cx="60" cy="50" r="10"/><rect id="window" x="100" y="30" width="40" height="40" rx="3"/>
    <ellipse id="egg" cx="160" cy="50" rx="8" ry="4" transform="matrix(1 .1 -.1 1 6 -12)"/>
    <path id="arc" d="M30,20a5,3 30 1 0 10,0 5,3 30 1 0 -10,0zm40 0q5-8 10 0t10 0v5h-20z"/>
    <polygon id="tip" points="20,60 30,55 25,75"/><use id="u1" href="#leaf" x="150" y="70" width="12" height="12"/><use id="u2" xlink:href="#pair" transform="translate(90 78)"/>
    <line x1="40" y1="80" x2="60" y2="80"/><line x1="60" y1="80" x2="50" y2="90"/><line x1="50" y1="90" x2="40" y2="80"/>
  </g>
  <rect id="outline" x="0" y="0" width="200" height="100"/>
</svg>
`;

const tags = (...pairs: (readonly [number, string | number])[]): string =>
  pairs.map(([code, value]) => `${code}\n${value}\n`).join('');
/** DXF with most kinds of entities, a block that is inserted, and layers. */
const dxf = [
  tags(
    [0, 'SECTION'],
    [2, 'HEADER'],
    [9, '$ACADVER'],
    [1, 'AC1015'],
    [9, '$INSUNITS'],
    [70, 4],
    [0, 'ENDSEC'],
  ),
  tags([0, 'SECTION'], [2, 'TABLES'], [0, 'TABLE'], [2, 'LAYER'], [70, 3]),
  ...['marks', 'openings', 'outline'].map((layer) =>
    tags([0, 'LAYER'], [2, layer], [70, 0], [62, 7], [6, 'CONTINUOUS']),
  ),
  tags(
    [0, 'ENDTAB'],
    [0, 'ENDSEC'],
    [0, 'SECTION'],
    [2, 'BLOCKS'],
    [0, 'BLOCK'],
    [2, 'LEAF'],
    [70, 0],
    [10, 0],
    [20, 0],
  ),
  tags(
    [0, 'CIRCLE'],
    [8, '0'],
    [10, 2],
    [20, 2],
    [40, 1.5],
    [0, 'ENDBLK'],
    [0, 'ENDSEC'],
    [0, 'SECTION'],
    [2, 'ENTITIES'],
  ),
  ...[
    [10, 10],
    [190, 10],
    [190, 90],
    [10, 90],
  ].map(([x, y]) => tags([0, 'CIRCLE'], [8, 'marks'], [10, x!], [20, y!], [40, 1])),
  tags([0, 'CIRCLE'], [8, 'openings'], [10, 60], [20, 50], [40, 10]),
  tags(
    [0, 'LWPOLYLINE'],
    [8, 'openings'],
    [90, 4],
    [70, 1],
    [10, 100],
    [20, 30],
    [42, 0.4],
    [10, 140],
    [20, 30],
    [10, 140],
    [20, 70],
    [10, 100],
    [20, 70],
  ),
  tags(
    [0, 'ARC'],
    [8, 'openings'],
    [10, 30],
    [20, 60],
    [40, 5],
    [50, 0],
    [51, 180],
    [0, 'LINE'],
    [8, 'openings'],
    [10, 25],
    [20, 60],
    [11, 35],
    [21, 60],
  ),
  tags(
    [0, 'ELLIPSE'],
    [8, 'openings'],
    [10, 165],
    [20, 50],
    [11, 8],
    [21, 2],
    [40, 0.5],
    [41, 0],
    [42, 6.283185307179586],
  ),
  tags(
    [0, 'SPLINE'],
    [8, 'openings'],
    [70, 1],
    [71, 3],
    [72, 8],
    [73, 4],
    ...[0, 0, 0, 0, 1, 1, 1, 1].map((k) => [40, k] as const),
    [10, 80],
    [20, 80],
    [10, 85],
    [20, 95],
    [10, 90],
    [20, 70],
    [10, 80],
    [20, 80],
  ),
  tags(
    [0, 'POLYLINE'],
    [8, 'openings'],
    [66, 1],
    [70, 1],
    [0, 'VERTEX'],
    [8, 'openings'],
    [10, 20],
    [20, 20],
    [0, 'VERTEX'],
    [8, 'openings'],
    [10, 30],
    [20, 20],
    [0, 'VERTEX'],
    [8, 'openings'],
    [10, 25],
    [20, 35],
    [0, 'SEQEND'],
  ),
  tags(
    [0, 'INSERT'],
    [8, 'openings'],
    [2, 'LEAF'],
    [10, 150],
    [20, 75],
    [41, 1],
    [42, 1],
    [50, 30],
    [70, 2],
    [71, 2],
    [44, 6],
    [45, 6],
  ),
  tags(
    [0, 'LWPOLYLINE'],
    [8, 'outline'],
    [90, 4],
    [70, 1],
    [10, 0],
    [20, 0],
    [10, 200],
    [20, 0],
    [10, 200],
    [20, 100],
    [10, 0],
    [20, 100],
    [0, 'ENDSEC'],
    [0, 'EOF'],
  ),
].join('');

/** Every key of a job somewhere. */
const more: readonly string[] = [
  '',
  'face: down',
  'units: mm\njoin: 0.05',
  'dpi: 96',
  'machine: bench.yaml',
  'machine: {profile: bench.yaml, axes: y-down, size: [1200, 900]}',
  'pierced: {kerf: 0.18, compensated: false}',
  'touches: [{on: moon, at: [353.6, 114.8], radius: unknown}, {on: moon, at: [343.6, 124.8]}, {on: outline, at: [280, 118]}]',
  'witness: [{point: [60, 60], reading: [340.8, 124.4]}]',
  'film: {width: 80, overlap: 5, direction: x}',
  'material: {kind: mdf, humidity: [40, 60], temperature: [18, 24]}',
  'check: {accepted-risk: 0.01, cut-sd: 0.03, kerf-sd: 0.02, bow: 0.2, size-change: 0.0002}',
  'roles: {marks: marks, openings: [openings, "not moon"], outline: outline}',
  'marks: {A: [10, 10], B: [190, 10], C: C, D: D}',
  'plan: {marks: 3, use: [land, holes, corners, edges], from-openings: 5, from-edge: 8, spacing: 20, grid: 1}',
  'date: 2026-11-20',
];
const profile = `name: Bench
measured: {pointer: 2026-01-02, bed: 2026-02-03}
size: [1200, 900]
axes: y-up
reading-sd: 0.06
reading-sd-dof: 18
reversal: [0.02, 0.01]
bed-map: {scale: [1.0004, 0.9998], skew-mrad: 0.35}
bed-map-sd: {scale: [0.0001, 0.0001], skew-mrad: 0.1}
beam-offset: [0.12, -0.31]
beam-offset-sd: 0.02
display-step: 0.01
kerf: 0.16
kerf-sd: 0.02
cut-sd: 0.03
nc: {feed: 900, before-cut: M3 S400, after-cut: M5, first-lines: [G21], decimals: 4, arcs: true}
history: [{replaced: 2026-01-01, kerf: 0.2}]
`;
const tables: Readonly<Record<string, string>> = {
  pointer:
    'mark,x,y,direction,who\nA,112.42,96.10,up,Ann\nA,112.40,96.12,down,Ann\nB,671.93,104.82,up,Ann\nB,671.90,104.86,down,Ann\nC,668.1,491.07,up,Ann\nC,668.15,491.02,down,Ann\n',
  bed: 'from-x,from-y,to-x,to-y,length,from,to,sd,axes\n0,0,500,0,500.12,a,b,0.1,y-up\n0,0,0,300,300.02,a,c,0.1,\n500,0,500,300,300.1,b,d,0.1,\n0,300,500,300,500.2,c,d,0.1,\n0,0,500,300,583.2,a,d,0.1,\n500,0,0,300,583.1,b,c,0.1,\n',
  kerf: 'kind,count,drawn,measured,hole,piece,sd,cut\nstrips,10,10,98.4,,,0.02,a\nstrips,10,10,98.42,,,0.02,b\ngap,5,5,25.8,,,0.02,\npair,,,,30.08,29.92,0.02,\n',
  beam: 'dot,x,y,read-x,read-y,direction,burnt,axes\na,10,10,9.9,10.3,up,figure,y-up\na,10,10,9.92,10.31,down,figure,\nb,500,10,499.9,10.3,up,figure,\nc,500,300,499.88,300.31,up,figure,\nd,10,300,9.91,300.29,down,figure,\n',
};
const readingsTable = 'mark;x;y\nA;306,85;62,4\nB;479,55;112,8\nC;457,25;189,6\nD;284,35;139,2\n';

const numbers = [
  '0',
  '-1',
  '1e308',
  '-1e308',
  '1e-308',
  '5e-324',
  '1e9',
  '-0',
  '0.0000001',
  'NaN',
  'Infinity',
  '.5',
  '1,5',
  '99999',
  '100000',
  '0x10',
  '1e',
  '360',
  '2147483648',
  '9007199254740993',
];
const words = [
  'null',
  '~',
  '[]',
  '{}',
  '""',
  '*a',
  '&a x',
  '!!binary AAAA',
  '!!float .nan',
  '|',
  '>',
  '- ',
  '? ',
  '---',
  '...',
  '%YAML 1.2',
  '<<: *a',
  'moon',
  'outline',
  'A',
  'unknown',
  'true',
  '#',
  "'",
  '"',
  '\u0000',
  '\uFEFF',
  '\u202e',
  '\u00e9',
  '\ud83d\ude00',
  '</svg>',
  '<!DOCTYPE a [<!ENTITY b "c">]>',
  '<![CDATA[',
  ']]>',
  '<!--',
  '&#0;',
  '&amp;',
  '&lol;',
  'url(#a)',
  'calc(1px + 2%)',
  '#moon',
  'transform="scale(0)"',
  'transform="scale(1e9)"',
  'd="M0 0"',
  'd="M0 0z"',
  'd="M0,0A1,1 0 0 0 1e-9,0"',
  'viewBox="0 0 0 0"',
  'display="none"',
  '0\nSECTION\n',
  '0\nEOF\n',
  '2\nLEAF\n',
  '0\nINSERT\n2\nLEAF\n',
  '70\n99999\n',
  '\r\n',
  '\t',
  ';',
  ',',
  ' ',
];

/** One mistake. */
const mistaken = (text: string, random: RandomSource): string => {
  const at = random.index(text.length + 1);
  const pick = <T>(of: readonly T[]): T => of[random.index(of.length)]!;
  const lines = text.split('\n');
  const line = random.index(lines.length);
  switch (random.index(13)) {
    case 0:
    case 1:
    case 2: {
      // A number becomes another one.
      const found = [...text.matchAll(/-?\d+(\.\d+)?/g)];
      if (found.length === 0) return text;
      const { index, 0: number } = pick(found);
      const value = Number(number);
      const next = pick([
        pick(numbers),
        String(-value),
        String(value * 10),
        String(value / 1000),
        `${number}${random.index(10)}`,
        number.slice(0, -1),
        String(value + 1e-9),
      ]);
      return text.slice(0, index) + next + text.slice(index + number.length);
    }
    case 3:
      lines.splice(line, 1 + random.index(3));
      return lines.join('\n');
    case 4:
      lines.splice(line, 0, lines[random.index(lines.length)]!);
      return lines.join('\n');
    case 5: {
      const other = random.index(lines.length);
      [lines[line], lines[other]] = [lines[other]!, lines[line]!];
      return lines.join('\n');
    }
    case 6:
      return text.slice(0, at);
    case 7:
      return text.slice(0, at) + pick(words) + text.slice(at);
    case 8:
      return text.slice(0, at) + String.fromCharCode(random.index(256)) + text.slice(at + 1);
    case 9: {
      const to = at + random.index(40);
      return text.slice(0, at) + text.slice(to);
    }
    case 10: {
      // A stretch again and again.
      const part = text.slice(at, at + 1 + random.index(60));
      return text.slice(0, at) + part.repeat(pick([2, 3, 50, 500])) + text.slice(at);
    }
    case 11: {
      const found = [...text.matchAll(/[a-z][a-z-]+/gi)];
      if (found.length === 0) return text;
      const [one, other] = [pick(found), pick(found)];
      return text.slice(0, one.index) + other[0] + text.slice(one.index + one[0].length);
    }
    default: {
      const from = random.index(text.length + 1);
      return text.slice(0, at) + text.slice(from, from + random.index(200)) + text.slice(at);
    }
  }
};

const spoiled = (text: string, random: RandomSource): string => {
  let result = text;
  for (let times = 1 + random.index(3) * random.index(3); times > 0; times--)
    result = mistaken(result, random);
  return result.slice(0, 400_000);
};

const utf8 = (text: string): string => latin1(new TextEncoder().encode(text));

/** The call of a number. */
export const fuzzCase = (seed: string, number: number): FuzzCase => {
  const random = createRandom(`${seed}/${number}`);
  const pick = <T>(of: readonly T[]): T => of[random.index(of.length)]!;
  const chance = (share: number): boolean => random.uniform() < share;
  const files: Record<string, string> = {};
  const put = (name: string, text: string, share: number): void => {
    files[name] = utf8(chance(share) ? spoiled(text, random) : text);
  };

  const isDxf = chance(0.35);
  const drawing = isDxf ? 'panel.dxf' : 'panel.svg';
  const whole = chance(0.02);
  if (whole) files[drawing] = latin1(isDxf ? mutatedLoose(random.index(1e6)) : mutated(random.index(1e6)));
  else put(drawing, isDxf ? dxf : pick([panel, rich]), 0.4);

  const disturbance = Array.from({ length: 4 }, () => pick([0, 0.02, 0.1, 1]) * random.normal());
  let job = jobText({
    drawing,
    disturbance,
    more: [pick(more), pick(more)]
      .filter(
        (text, i, all) =>
          text !== '' && all.findIndex((other) => other.split(':')[0] === text.split(':')[0]) === i,
      )
      .join('\n'),
  });
  if (chance(0.1)) job = job.replace(/readings:\n( {2}.*\n)+/, 'readings: readings.csv\n');
  if (chance(0.15))
    job = job.replace('fit: {', `fit: {model: ${pick(['shift', 'similarity', 'affine', 'rigid'])}, `);
  if (chance(0.3))
    job = job.replace(
      'cut: {',
      `cut: {kind: ${pick(['inlay', 'opening'])}, corners: ${pick(['round', 'mitre'])}, `,
    );
  if (chance(0.1)) job = job.replace(/cut: \{.*\}/, 'cut: {kind: as-drawn}');
  put('job.yaml', job, 0.35);
  if (job.includes('bench.yaml') || chance(0.05)) put('bench.yaml', profile, 0.5);
  if (job.includes('readings.csv')) put('readings.csv', readingsTable, 0.7);

  const command = pick([
    'list',
    'fit',
    'check',
    'check',
    'cut',
    'cut',
    'cut',
    'plan',
    'page',
    'calibrate',
    'calibrate',
    'drift',
    'sheet',
    'scan',
    'scan',
    'call',
  ]);
  const json = chance(0.5) ? ['--json'] : [];
  const base = (): { argv: string[]; stdin?: string } => {
    switch (command) {
      case 'list':
        return {
          argv: [
            'list',
            pick([drawing, drawing, 'job.yaml']),
            ...json,
            ...(chance(0.3)
              ? pick([
                  ['--units', pick(['mm', 'in', 'px', 'furlong'])],
                  ['--dpi', pick(numbers)],
                  ['--join', pick(numbers)],
                ])
              : []),
            ...(chance(0.1) ? ['-o', 'seen.svg'] : []),
          ],
        };
      case 'cut':
        return {
          argv: [
            'cut',
            'job.yaml',
            ...json,
            '-o',
            pick(['a.svg', 'a.dxf', 'a.nc', '-']),
            ...(chance(0.1) ? ['--picture', 'p.svg'] : []),
            ...(chance(0.3) ? ['--unproven'] : []),
          ],
        };
      case 'plan':
        return {
          argv: [
            'plan',
            'job.yaml',
            ...json,
            ...(chance(0.3) ? ['-o', pick(['m.svg', 'm.dxf'])] : []),
            ...(chance(0.1) ? ['--picture', 'p.svg'] : []),
          ],
        };
      case 'page':
        return { argv: ['page', 'job.yaml', '-o', 'p.html'] };
      case 'calibrate': {
        const part = pick(Object.keys(tables));
        put(`${part}.csv`, tables[part]!, 0.6);
        if (chance(0.4)) put('bench.yaml', profile, 0.4);
        return {
          argv: [
            'calibrate',
            part,
            `${part}.csv`,
            ...json,
            ...(chance(0.5) ? ['--profile', 'bench.yaml'] : []),
            ...(chance(0.3) ? ['--force'] : []),
            ...(chance(0.1) && part === 'bed' ? ['--rule', pick(numbers)] : []),
            ...(chance(0.1) && part !== 'pointer' ? ['--sd', pick(numbers)] : []),
          ],
        };
      }
      case 'drift':
        return { argv: ['calibrate', 'drift', 'job.yaml', ...json] };
      case 'sheet':
        return {
          argv: [
            'calibrate',
            'sheet',
            '-o',
            's.svg',
            ...(chance(0.7)
              ? ['--size', `${pick(numbers)},${pick(['400', ...numbers])}`]
              : ['--profile', 'bench.yaml']),
          ],
        };
      case 'scan': {
        const { name, bytes } = pictureFile(random);
        const whole = latin1(bytes);
        files[name] = chance(0.3) ? spoiled(whole, random) : whole;
        const lengths = ['2,5 8,5 = 6.01', '3,3 10,9 = 9.2 +- 0.05', '1,1 1,1 = 0'];
        const known = pick([pick(lengths), spoiled(pick(lengths), random).slice(0, 200)]);
        return {
          argv: [
            'scan',
            name,
            ...json,
            ...(chance(0.7) ? ['-o', pick(['a.svg', 'a.dxf'])] : []),
            ...(chance(0.2) ? ['--dpi', chance(0.7) ? pick(['100', '150,151']) : pick(numbers)] : []),
            ...(chance(0.2) ? ['--openings', pick(['dark', 'dark', 'light', 'grey'])] : []),
            ...(chance(0.2) ? ['--smallest', chance(0.7) ? '0.5' : pick(numbers)] : []),
            ...(chance(0.25) ? ['--known', known] : []),
            ...(chance(0.1) ? ['--picture', pick(['p.svg', 'p.png'])] : []),
          ],
        };
      }
      case 'call': {
        const argv = pick([
          ['fit', 'job.yaml'],
          ['cut', 'job.yaml', '-o', 'a.svg'],
          ['list', drawing],
          ['help', 'calibrate', 'bed'],
          ['completion', 'bash'],
          ['calibrate', 'bed', 'bed.csv'],
          ['--help'],
          ['-V'],
        ]).slice();
        for (let times = random.index(3); times >= 0; times--)
          argv.splice(
            random.index(argv.length + 1),
            random.index(2),
            pick([
              ...words,
              ...numbers,
              '--json',
              '--force',
              '-o',
              '--',
              '-',
              '--format',
              'svg',
              'fit',
              'cut',
              'job.yaml',
              '.',
              '/',
              '..',
              '',
              '/dev/null',
              'nope.yaml',
              '--picture',
              'x.png',
              '--units',
              '--profile',
              '-h',
            ]),
          );
        return { argv, stdin: utf8(job) };
      }
      default:
        return chance(0.1)
          ? { argv: [command, '-', ...json], stdin: files['job.yaml']! }
          : { argv: [command, 'job.yaml', ...json] };
    }
  };
  const { argv, stdin } = base();
  return { argv, files, ...(stdin === undefined ? {} : { stdin }) };
};
