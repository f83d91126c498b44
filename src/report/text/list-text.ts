/** What is in a drawing, for a person at a terminal. */

import { rowAt } from '../../drawing/describe.js';
import type { JoinReport } from '../../drawing/join/join-findings.js';
import type { ListedDrawing, ListedMark } from '../../drawing/list-drawing.js';
import type { LeftOut, Role } from '../../drawing/model/drawing.js';
import { isMadeUpByProgram } from '../../drawing/model/seen-name.js';
import { howToState, type RolesInDoubt } from '../../drawing/roles/assumed-warning.js';
import type { RoleAssignment } from '../../drawing/roles/roles.js';
import type { Warning } from '../../job/messages.js';
import { LayerLines } from './layer-lines.js';
import {
  type Column,
  counted,
  fixed,
  listed as namesOf,
  printable,
  shellWord,
  shortened,
  table,
  wrapped,
} from './layout.js';
import { warningLines } from './warnings-text.js';
import { yamlName } from './yaml-name.js';

/** Shapes of a role that are shown one by one; of more, each layer is a line. */
const mostOfRole = 60;
const mostLayers = 60;
const mostLeftOut = 8;

const roleNames: Readonly<Record<Role, string>> = {
  mark: 'marks',
  opening: 'openings',
  outline: 'outline',
  unused: 'unused',
};

const singular: Readonly<Record<Role, string>> = { ...roleNames, mark: 'mark', opening: 'opening' };

interface RoleGroup {
  readonly role: Role;
  readonly count: number;
}

export const listText = (listed: ListedDrawing): string => {
  const { drawing, roles: assignment } = listed;
  // What was joined stands above the table.
  const apart: readonly string[] = ['lines-joined', 'roles-uncertain'];
  const warnings = withoutLine(listed).filter(({ code }) => !apart.includes(code));
  const { minX, minY, maxX, maxY } = drawing.box;
  const size =
    assignment.shapes.length === 0 ? 'no shapes' : `${fixed(maxX - minX, 2)} x ${fixed(maxY - minY, 2)} mm`;
  const roles = Object.keys(roleNames) as Role[];
  const groups = roles.map((role) => ({ role, count: assignment.roles.count(role) }));
  // A mark may be drawn in several shapes; those are what the table shows.
  const counts = groups.map(({ role, count }) => (role === 'mark' ? listed.marks.length : count));
  const tally = roles
    .map((role, i) => `${counts[i]} ${counts[i] === 1 ? singular[role] : roleNames[role]}`)
    .join(', ');
  return printable([
    ...wrapped(drawing.path),
    ...wrapped(`${size}, unit ${drawing.units}${asStated(listed)}; ${tally}`),
    ...joinedLines(listed.joined),
    ...(assignment.shapes.length === 0 ? [] : ['', ...shapeTable(assignment, groups)]),
    ...markTable(listed),
    ...leftOutLines(drawing.leftOut),
    ...warningLines(warnings),
    ...(assignment.doubt === undefined
      ? lineForJob(hasJobLines(listed, groups) ? undefined : assignment.line)
      : [...readingLines(assignment.doubt, assignment.notes), ...proposalLines(listed)]),
    '',
    ...(assignment.doubt === undefined ? nextLines(listed, groups) : wrapped(decideFirst, 'Next: ')),
    '',
  ]);
};

/** The lines of a job that are printed hold that of the roles. */
const hasJobLines = ({ job }: ListedDrawing, groups: readonly RoleGroup[]): boolean =>
  job === undefined && groups.some(({ role, count }) => role === 'opening' && count > 0);

const markColumns: readonly Column[] = [
  { title: 'mark', align: 'left', room: 18 },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'from', align: 'left', room: 40 },
];

const mostMarks = 24;

/** Where a name does not stand in the table of shapes: typed marks, and those of several shapes. */
const markTable = ({ marks }: ListedDrawing): string[] => {
  const isShape = ({ name, from }: ListedMark): boolean =>
    from !== 'typed' && from.length === 1 && from[0] === name;
  if (marks.every(isShape)) return [];
  const rows = marks
    .slice(0, mostMarks)
    .map(({ name, at, from }) => [
      name,
      fixed(at.x, 2),
      fixed(at.y, 2),
      from === 'typed' ? 'typed in the job' : `centre of ${from.join(', ')}`,
    ]);
  const rest = marks.length - rows.length;
  return [
    '',
    'Marks, in the drawing, mm:',
    ...table(markColumns, rows),
    ...(rest > 0 ? [`  and ${rest} more (--json lists them all)`] : []),
  ];
};

/**
 * Where the job itself says how long a unit is: the drawing may say the same, or something else
 * (then a warning tells).
 */
const asStated = ({ job, stated }: ListedDrawing): string =>
  job === undefined || stated.length === 0 ? '' : ` (${stated.join(', ')} in the job)`;

const joinedLines = ({ outlines, lines, openChains, largestGap, duplicates }: JoinReport): string[] => {
  const joined = [
    ...(outlines > 0 ? [`${counted(outlines, 'outline')} of ${counted(lines, 'line')}`] : []),
    ...(openChains > 0 ? [counted(openChains, 'open path')] : []),
  ];
  const parts = [
    ...(joined.length > 0
      ? [`joined: ${joined.join(' and ')}, largest gap ${fixed(largestGap ?? 0, 4)} mm`]
      : []),
    ...(duplicates > 0 ? [`drawn twice: ${counted(duplicates, 'line')}`] : []),
  ];
  return parts.length === 0 ? [] : wrapped(parts.join('; '));
};

/** The line stands by itself, to be copied; the warning need not say it once more. */
const withoutLine = ({ roles, warnings }: ListedDrawing): Warning[] =>
  warnings.map((warning) => {
    if (warning.code !== 'roles-assumed' || roles.line === undefined) return warning;
    return { ...warning, message: warning.message.replace(` ${howToState(roles.line)}`, '') };
  });

const lineForJob = (line: string | undefined): string[] =>
  line === undefined ? [] : ['', 'To state the assumed roles, put this line into the job:', line];

/** Each reading with its line, by itself, to be copied. */
const readingLines = ({ why, readings }: RolesInDoubt, notes: readonly string[]): string[] => [
  '',
  ...wrapped(`The drawing can be understood in several ways: ${why}. Write into the job`),
  ...readings.flatMap(({ says, line }) =>
    line === undefined
      ? ['', ...wrapped(`if ${says}: groups of their own for openings and outline, named under roles.`)]
      : ['', ...wrapped(`if ${says}:`), line],
  ),
  ...(notes.length === 0 ? [] : ['', ...wrapped(notes.join(' '))]),
];

/** Where roles are in doubt the line for the job is not known yet. */
const proposalLines = ({ proposed }: ListedDrawing): string[] =>
  proposed === undefined
    ? []
    : [
        '',
        ...wrapped(`${crossesWords(proposed)} If they are the marks, add under roles:`),
        `marks: [${proposed.ids.map(yamlName).join(', ')}]`,
      ];

/** `4 equal crosses have no role: a, b, c and d.` */
export const crossesWords = ({ crosses }: NonNullable<ListedDrawing['proposed']>): string =>
  `${crosses.length} equal crosses have no role: ${namesOf(
    crosses.map(({ shapes }) => shapes[0]!.id),
    6,
  )}.`;

const decideFirst =
  'state the roles in the job; check, cut and plan refuse it before. A picture (-o FILE.png) shows the first reading.';

/** A list may take 100 columns: names, places and sizes side by side. */
const shapeColumns = (inDoubt: boolean): readonly Column[] => [
  { title: 'shape', align: 'left', room: inDoubt ? 14 : 18 },
  { title: 'layer', align: 'left', room: inDoubt ? 9 : 12 },
  { title: 'role', align: 'left' },
  ...(inDoubt ? [{ title: 'or', align: 'left' } as const] : []),
  { title: 'kind', align: 'left', room: 8 },
  { title: 'stroke', align: 'left', room: 8 },
  { title: 'centre x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'size x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'area', align: 'right' },
];

/**
 * The shapes one by one, where they are few; a drawing of thousands must not run through the
 * terminal.
 */
const shapeTable = (assignment: RoleAssignment, groups: readonly RoleGroup[]): string[] => {
  const few = groups
    .filter(({ count }) => count <= mostOfRole)
    .flatMap(({ role }) => [...assignment.roles.places(role)].map((place) => rowAt(assignment, place)));
  const many = groups.filter(({ count }) => count > mostOfRole);
  /** What shapes are in the second reading. */
  const other = assignment.doubt?.readings[1]?.roles;
  const rows = few.map((row) => [
    row.id,
    row.layerSeen ?? '-',
    row.role,
    ...(other === undefined ? [] : [other.get(row.id) ?? '-']),
    row.kind,
    row.stroke ?? '-',
    fixed((row.box.minX + row.box.maxX) / 2, 1),
    fixed((row.box.minY + row.box.maxY) / 2, 1),
    fixed(row.box.maxX - row.box.minX, 1),
    fixed(row.box.maxY - row.box.minY, 1),
    row.area === undefined ? 'open' : fixed(row.area, 0),
  ]);
  return [
    ...(rows.length === 0 ? [] : table(shapeColumns(other !== undefined), rows)),
    ...(rows.length === 0 || many.length === 0 ? [] : ['']),
    ...(many.length === 0 ? [] : layerTable(assignment, many)),
  ];
};

const layerColumns: readonly Column[] = [
  { title: 'layer', align: 'left', room: 24 },
  { title: 'role', align: 'left' },
  { title: 'stroke', align: 'left', room: 12 },
  { title: 'closed', align: 'right' },
  { title: 'open', align: 'right' },
  { title: 'first', align: 'left', room: 18 },
];

/** What each layer holds of a role, in each colour; the layers with the most shapes first. */
const layerTable = (assignment: RoleAssignment, groups: readonly RoleGroup[]): string[] => {
  const lines = new LayerLines(assignment);
  for (const { role } of groups) lines.add(role);
  const shown = lines.largest(mostLayers);
  const rows = shown.map(({ first, closed, open }) => [
    first.layerSeen ?? '-',
    first.role,
    first.stroke ?? '-',
    `${closed}`,
    `${open}`,
    first.id,
  ]);
  const rest = lines.count - shown.length;
  const shapes = sum(groups.map(({ count }) => count)) - sum(shown.map(({ closed, open }) => closed + open));
  return [
    ...table(layerColumns, rows),
    ...(rest > 0 ? [`  and ${counted(shapes, 'shape')} in ${counted(rest, 'more layer')}`] : []),
    '  (--json lists every shape)',
  ];
};

const sum = (numbers: readonly number[]): number => numbers.reduce((total, number) => total + number, 0);

const leftOutLines = (leftOut: readonly LeftOut[]): string[] => {
  if (leftOut.length === 0) return [];
  const shown = leftOut.slice(0, mostLeftOut);
  const rest = leftOut.length - shown.length;
  return [
    '',
    'Left out:',
    ...shown.flatMap(({ what, where, why }) => wrapped(`${what} (${shortened(where, 40)}): ${why}`, '  - ')),
    ...(rest > 0 ? [`  and ${rest} more (--json lists them all)`] : []),
  ];
};

const nextLines = (listed: ListedDrawing, groups: readonly RoleGroup[]): string[] => {
  const missing = groups.filter(({ count }) => count === 0).map(({ role }) => role);
  if (missing.includes('opening')) {
    return wrapped('name the layer or the shapes of the openings under "roles:" in the job file.', 'Next: ');
  }
  const { job, marks, drawing, proposed } = listed;
  if (job !== undefined && proposed?.line !== undefined)
    return [
      ...wrapped(
        `${crossesWords(proposed)} If they are the marks, put these lines into the job file:`,
        'Next: ',
      ),
      proposed.line,
      ...markLines(proposed.crosses.map(({ shapes }) => shapes[0]!.id)),
    ];
  if (job !== undefined && marks.length > 0)
    return wrapped(
      'if a role is wrong, name its layer or shape under "roles:" in the job file; else:',
      'Next: ',
    ).concat(`      reseat check ${shellWord(job)}`);
  if (job !== undefined)
    return wrapped(
      'name the layer of the marks in the job file ("roles: {marks: LAYER}"), or type where they are:',
      'Next: ',
    ).concat(...typedBlock);
  const file = drawing.path.replace(/^.*[/\\]/, '');
  const beside = `${file.replace(/\.[^.]*$/, '')}.yaml`;
  const write = `write these lines into a file ${beside} beside the drawing, with your own figures`;
  const line = proposed?.line ?? listed.roles.line;
  const beginning = [`drawing: ${yamlName(file)}`, ...listed.stated, ...(line === undefined ? [] : [line])];
  if (proposed?.line !== undefined)
    return [
      ...wrapped(
        `${crossesWords(proposed)} If they are the marks, ${write}: for each x, y what the display shows over that mark.`,
        'Next: ',
      ),
      ...beginning,
      ...markLines(proposed.crosses.map(({ shapes }) => shapes[0]!.id)),
      ...ending,
    ];
  if (marks.length === 0)
    return [
      ...wrapped(
        `${write}: where each mark is in the drawing, and what the display shows over it.`,
        'Next: ',
      ),
      ...beginning,
      ...typedBlock,
      ...ending,
      ...wrapped(
        `No marks yet? Leave out marks and readings: "reseat plan ${shellWord(beside)}" says where to put them.`,
      ),
    ];
  return [
    ...wrapped(
      `if a role is wrong, name its layer or shape under "roles:". ${write.replace(/^w/, 'W')}: for each x, y what the display shows over that mark.`,
      'Next: ',
    ),
    ...beginning,
    ...markLines(marks.map(({ name }) => name)),
    ...ending,
  ];
};

/** The lines of a job for its marks; ids that a program made up are no names to read by. */
const markLines = (marks: readonly string[]): string[] => {
  const some = marks.slice(0, mostInJob);
  const isUnnamed = some.every(isMadeUpByProgram) && some.length <= letters.length;
  const names = isUnnamed ? some.map((_, i) => letters[i]!) : some.map(yamlName);
  return [
    ...(isUnnamed ? ['marks:', ...some.map((name, i) => `  ${names[i]}: ${yamlName(name)}`)] : []),
    'readings:',
    ...names.map((name) => `  ${name}: [x, y]`),
  ];
};

const letters = 'ABCDEFGH';

/** More marks than these nobody reads unasked. */
const mostInJob = 8;

/** Marks that are not drawn; three of them are a beginning. */
const typedBlock = [
  'marks:',
  ...['A', 'B', 'C'].map((name) => `  ${name}: [x, y]`),
  'readings:',
  ...['A', 'B', 'C'].map((name) => `  ${name}: [x, y]`),
];

const ending = ['fit: {reading-sd: 0.08}', 'cut: {clearance: 0.5, kerf: 0.12}'];
