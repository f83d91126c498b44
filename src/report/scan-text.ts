/** A scan for a person at a terminal. */
import { segmentsOf, writtenSd } from '../scan/scan-drawing.js';
import { type Column, counted, fixed, printable, shellWord, table, wrapped } from './layout.js';
import { type ScanReport, scanWarnings } from './scan-json.js';
import { warningLines } from './warnings-text.js';

/** Edges that are shown one by one. */
const mostRows = 30;

const head: readonly Column[] = [
  { title: 'edge', align: 'left', room: 22 },
  { title: 'lines', align: 'right' },
  { title: 'arcs', align: 'right' },
  { title: 'diameter', align: 'right' },
  { title: 'sd mm', align: 'right' },
];

export const scanText = (report: ScanReport): string => {
  const { path, decoded, scan, output } = report;
  const { density, picture } = decoded;
  const perInch = (v: number): string => `${Number(v.toFixed(3))}`;
  const dense =
    density.x === density.y ? perInch(density.x) : `${perInch(density.x)} x ${perInch(density.y)}`;
  const count = (role: string): number => scan.edges.filter((edge) => edge.role === role).length;
  const [width, height] = scan.size;
  const outlines = count('outline');
  const parts = [
    counted(count('opening'), 'opening'),
    ...(count('island') > 0 ? [counted(count('island'), 'island')] : []),
    ...(outlines > 0 ? [counted(outlines, 'outline')] : []),
  ];
  const rows = scan.edges.slice(0, mostRows).map((edge) => {
    const segments = segmentsOf(scan, edge);
    const lines = segments.filter(({ kind }) => kind === 'line').length;
    const circle = edge.outline.kind === 'circle' ? 2 * edge.outline.radius * scan.unit : undefined;
    return [
      edge.id,
      `${lines}`,
      `${segments.length - lines}`,
      circle === undefined ? '' : fixed(circle, 3),
      fixed(writtenSd(edge.sd), 4),
    ];
  });
  const { specks, cutOff } = scan.dropped;
  const left = [
    ...(specks > 0 ? [`${counted(specks, 'speck')} left out`] : []),
    ...(cutOff > 0 ? [`${counted(cutOff, 'edge')} cut off by the picture's rim left out`] : []),
  ];
  return printable([
    ...wrapped(path),
    ...wrapped(
      `${picture.width} x ${picture.height} pixels, ${dense} to the inch (${density.source}): ${fixed(width, 2)} x ${fixed(height, 2)} mm`,
    ),
    ...wrapped(
      `${parts.join(', ')}; openings are ${scan.openings}${scan.openingsAssumed ? ` (decided from the picture; --openings ${scan.openings === 'dark' ? 'light' : 'dark'} says otherwise)` : ''}${left.map((l) => `; ${l}`).join('')}`,
    ),
    '',
    ...table(head, rows),
    ...(scan.edges.length > rows.length
      ? [`  and ${scan.edges.length - rows.length} more (--json lists them)`]
      : []),
    '',
    ...wrapped(
      `Edges are known with an sd of ${fixed(writtenSd(scan.edgeSd), 4)} mm or better; it stands in the drawing, and "reseat check" counts it. Across an edge the picture is blurred by ${fixed(scan.noise.blur * scan.unit, 3)} mm (sd).`,
    ),
    ...warningLines(scanWarnings(report)),
    '',
    ...wrapped(
      output === undefined
        ? 'Write the drawing with -o openings.svg or -o openings.dxf.'
        : `Written to ${output}. See it with "reseat list ${shellWord(output)}", then write a job with "drawing: ${shellWord(output)}".`,
      'Next: ',
    ),
    '',
  ]);
};
