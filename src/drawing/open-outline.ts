/**
 * An outline that does not close is no edge of anything: set-backs are not held against it, and
 * nothing says where the panel ends.
 */
import { endOf, startOf } from '../geometry/curve.js';
import { distance, type Point } from '../geometry/point.js';
import { type Roles, roleWords } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { defaultJoin } from './join/join.js';
import type { Shape } from './model/drawing.js';
import { layerSeen } from './model/seen-name.js';
import { isAllOpen } from './model/shape-store.js';
import type { RoleAssignment } from './roles/roles.js';
import { yamlWord } from './roles/roles-line.js';
import { strokeOf } from './roles/selectors.js';

/** A line of the job names no more shapes than this. */
const mostNamed = 8;
/** Lines without a role that are looked at. */
const mostLooked = 20_000;

/**
 * One warning where no path of the outline is closed; it names the lines without a role that its
 * ends meet.
 */
export const openOutline = (
  roles: Pick<RoleAssignment, 'outline' | 'shapes' | 'roles' | 'selectors'>,
  join = defaultJoin,
): Warning[] => {
  const { outline, selectors } = roles;
  if (outline.length === 0 || !outline.every(isAllOpen)) return [];
  const more = linesBetween(roles, join);
  const names = some(outline.map(({ id }) => id));
  const found = `The outline (${names}) does not close, so that nothing tells where the panel ends`;
  if (more.length === 0)
    return [
      {
        code: 'open-path-left-out',
        message: `${found}.`,
        remedies: [
          {
            kind: 'change-job',
            step: 'close the outline in the drawing, or name what else belongs to it under "roles:"',
          },
        ],
      },
    ];
  const entries = entriesFor(more, roles);
  return [
    {
      code: 'open-path-left-out',
      message: `${found}: it goes on in ${some(more.map(({ id }) => id))}, without a role.`,
      remedies: [
        {
          kind: 'change-job',
          step:
            entries === undefined
              ? 'draw the outline in one layer of its own'
              : `write ${lineFor(selectors, entries)}, which makes them one outline`,
        },
      ],
    },
  ];
};

/**
 * Entries that take these lines and no others: layers, else colours. A line that is named by its
 * own name stays by itself (`rolesBefore`), and would close nothing.
 */
const entriesFor = (
  more: readonly Shape[],
  { shapes, roles }: Pick<RoleAssignment, 'shapes' | 'roles'>,
): string[] | undefined => {
  const wanted = new Set(more);
  const isOnlyOf = (holds: (shape: Shape) => boolean): boolean =>
    shapes.every((shape, i) => !holds(shape) || wanted.has(shape) || roles.at(i) === 'outline');
  const entryOf = (line: Shape): string | undefined => {
    const layers = [layerSeen(line), ...line.layers].filter((layer) => layer !== undefined);
    const layer = layers.find((name) => isOnlyOf((shape) => shape.layers.includes(name)));
    if (layer !== undefined) return layer;
    const stroke = strokeOf(line);
    return stroke !== 'none' && isOnlyOf((shape) => strokeOf(shape) === stroke)
      ? `stroke:${stroke}`
      : undefined;
  };
  const entries = more.map(entryOf);
  return entries.includes(undefined) ? undefined : [...new Set(entries as string[])];
};

const lineFor = ({ outline, marks, openings, stated }: Roles, entries: readonly string[]): string => {
  const edges = `[${[...outline.map(({ text }) => text), ...entries].map(yamlWord).join(', ')}]`;
  const others = [
    ...(stated.marks ? [`marks: ${roleWords(marks)}`] : []),
    ...(stated.openings ? [`openings: ${roleWords(openings)}`] : []),
  ];
  return `'roles: {${[...others, `outline: ${edges}`].join(', ')}}'`;
};

/** Lines without a role that lead on from the ends of the outline; none where they are many. */
const linesBetween = (
  { outline, shapes, roles }: Pick<RoleAssignment, 'outline' | 'shapes' | 'roles'>,
  join: number,
): Shape[] => {
  const free: Shape[] = [];
  for (const place of roles.places('unused')) {
    if (free.length === mostLooked) return [];
    const shape = shapes[place]!;
    if (isAllOpen(shape)) free.push(shape);
  }
  const found = new Set<Shape>();
  let ends = outline.flatMap(endsOf);
  for (;;) {
    const next = free.filter(
      (shape) => !found.has(shape) && endsOf(shape).some((p) => ends.some((q) => distance(p, q) <= join)),
    );
    if (next.length === 0) return [...found];
    for (const shape of next) found.add(shape);
    if (found.size > mostNamed) return [];
    ends = next.flatMap(endsOf);
  }
};

const endsOf = ({ paths }: Shape): Point[] =>
  paths.flatMap(({ segments }) =>
    segments.length === 0 ? [] : [startOf(segments[0]!), endOf(segments.at(-1)!)],
  );

const some = (words: readonly string[]): string =>
  words.length > 4 ? `${words.slice(0, 4).join(', ')} and ${words.length - 4} more` : words.join(', ');
