/** A scan for a person at a terminal. */
import { segmentsOf, writtenSd } from '../../scan/scan-drawing.js';
import { type ScanReport, scanWarnings } from '../json/scan-json.js';
import { type Column, counted, fixed, printable, shellWord, table, wrapped } from './layout.js';
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

/** What the known lengths say of the scale. */
const knownLines = ({ scan: { known } }: ScanReport): string[] => {
  if (known === undefined) return [];
  const percent = (v: number): string => `${v < 0 ? '-' : '+'}${fixed(100 * Math.abs(v), 3)} %`;
  const { x, y, lean, sd, unknowns, redundancy } = known;
  const scales =
    unknowns === 1
      ? `${percent(x)} (sd ${fixed(100 * sd.x, 3)} %) both ways`
      : `${percent(x)} across (sd ${fixed(100 * sd.x, 3)} %), ${percent(y)} up (sd ${fixed(100 * sd.y, 3)} %)`;
  const leans =
    unknowns === 3 ? `, leaning by ${fixed(1000 * lean, 3)} mrad (sd ${fixed(1000 * sd.lean, 3)})` : '';
  const residuals = known.lengths.map(({ residual }) => fixed(residual, 3)).join(', ');
  const checked =
    redundancy === 0
      ? ' No length checks another: a mistake in one would not show.'
      : ` What is left over: ${residuals} mm.`;
  const share = Math.max(sd.x, sd.y, sd.lean);
  return [
    '',
    ...wrapped(
      `By the known lengths the picture is ${scales}${leans} larger than the file says; it was corrected.${checked} In the job: "check: {size-change: ${Number((2 * share).toPrecision(1))}}", twice the sd of the scale.`,
    ),
  ];
};

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
    ...knownLines(report),
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
