/**
 * The cut file as an NC program of ISO 6983-1 words: G0 and G1 straight, G2 and G3 along arcs with
 * I and J from the start of the arc to its centre, in millimetres (G21) and absolute coordinates
 * (G90) of the xy plane (G17). What the words mean after the standard, from memory. A control works
 * an arc out in its own coordinates, so G3 is the arc whose angles grow in the numbers of the
 * display, whichever way its y counts.
 *
 * Feed, the words that switch the tool, and everything before and behind are the machine's; none is
 * made up here.
 */

import { cautions } from '../../job/cautions.js';
import type { NcWords } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { longestNcLine } from '../../job/read/read-nc.js';
import { powerOfTen } from '../../numeric/powers.js';
import { type CutFile, commentLines, decimal, verticesOf } from './cut-file.js';
import { type Grid, type GridPoint, movesAlong, onGrid } from './nc-moves.js';

const quarterTurn = Math.PI / 2 + 1e-9;

/**
 * The tool is off before every move that does not cut, and at the end. Arcs lie, as their words say
 * them, within
 * 0.002 mm of the path.
 *
 * @throws InputError for a machine of which feed and tool words are not known
 */
export const writeNc = (file: CutFile): string => {
  const { feed, on, off, words } = wordsOf(file.nc);
  const grid: Grid = { steps: powerOfTen(words.decimals), arcs: words.arcs };
  const number = (steps: number): string => {
    const text = (Math.abs(steps) / grid.steps).toFixed(words.decimals);
    return steps < 0 ? `-${text}` : text;
  };
  const to = (p: GridPoint): string => `X${number(p.x)} Y${number(p.y)}`;
  const lines = [...words.firstLines, ...comments(file), 'G17', 'G21', 'G90'];
  for (const { segments, open } of file.paths) {
    const vertices = verticesOf(segments, open, quarterTurn);
    const moves = movesAlong(vertices, !open, grid);
    if (moves.length === 0) continue;
    lines.push(...off, `G0 ${to(onGrid(vertices[0]!.at, grid))}`, ...on);
    moves.forEach((move, i) => {
      const { centre } = move;
      const word = centre === undefined ? 'G1' : move.clockwise ? 'G2' : 'G3';
      const about = centre === undefined ? '' : ` I${number(centre.x)} J${number(centre.y)}`;
      lines.push(`${word} ${to(move.to)}${about}${i === 0 ? ` F${feed}` : ''}`);
    });
  }
  lines.push(...off, ...words.lastLines, '');
  return lines.join('\n');
};

interface KnownWords {
  readonly feed: string;
  readonly on: readonly string[];
  readonly off: readonly string[];
  readonly words: NcWords;
}

const wordsOf = (words: NcWords | undefined): KnownWords => {
  const { feed, beforeCut, afterCut } = words ?? {};
  if (words !== undefined && feed !== undefined && beforeCut !== undefined && afterCut !== undefined) {
    const digits = decimal(feed, 3);
    // Without its point an old control would take the number in its smallest unit.
    return { feed: digits.includes('.') ? digits : `${digits}.0`, on: beforeCut, off: afterCut, words };
  }
  const missing = [
    ...(feed === undefined ? ['feed'] : []),
    ...(beforeCut === undefined ? ['before-cut'] : []),
    ...(afterCut === undefined ? ['after-cut'] : []),
  ];
  throw new InputError({
    found: `an NC file for a machine whose profile does not say ${missing.join(', ')}`,
    expected: '"nc" in the machine profile, with feed, before-cut and after-cut',
    next: `Write into the machine profile, under "nc:", what its manual says: feed: in mm per minute; before-cut: the line that switches the tool on, with its power or speed; after-cut: the line that switches it off. reseat does not guess them.`,
  });
};

/**
 * What a person should read before the program runs; plain characters without any that a control
 * may act upon.
 */
const comments = (file: CutFile): string[] => [
  ...comment(`reseat: ${file.title ?? 'cut file'}`, longestNcLine - 2),
  ...(file.remarks ?? []).flatMap((remark) => comment(remark)),
  ...comment('Coordinates are those of the display, in mm. Set no other zero.'),
  ...cautions.flatMap((caution) => comment(caution)),
];

const comment = (text: string, room = longestNcLine - 8): string[] => {
  const plain = text
    .normalize('NFKD')
    .replace(/[^A-Za-z0-9 .,:+/=_-]/g, (c) => (/\s|[()[\]{}]/.test(c) ? ' ' : ''))
    .replace(/ +/g, ' ')
    .trim();
  return commentLines(plain, room).map((one) => `(${one})`);
};
