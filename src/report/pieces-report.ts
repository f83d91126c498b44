/**
 * What many finished pieces say together, and what a profile learned from them: for a terminal, and
 * as `--json`.
 */

import type { LearnedFigure, LearnedKey } from '../inspect/learn.js';
import type { Learned } from '../inspect/learn-profile.js';
import type { Pieces } from '../inspect/pieces.js';
import { counted, fixed, printable, table, wrapped } from './text/layout.js';

export interface PiecesJson {
  pieces: {
    count: number;
    /** Of those whose job states a risk. */
    touched: { of: number; observed: number; stated: number };
    share: { value: number; limits: [number, number] } | null;
    asMany: number | null;
    asFew: number | null;
    /** Errors found over errors stated. */
    size: { ratio: number; limits: [number, number]; dof: number } | null;
  };
  learned: {
    profile: string;
    date: string;
    withheld: boolean;
    written: boolean;
    pieces: {
      name: string;
      left: string | null;
      figures: {
        key: LearnedKey;
        before: number[] | null;
        piece: number[];
        pieceSd: number;
        after: number[] | null;
        afterSd: number | null;
        dof: number | null;
        pValue: number | null;
        outcome: LearnedFigure['outcome'];
      }[];
    }[];
  } | null;
}

export interface PiecesReport {
  readonly pieces: Pieces;
  readonly learned?: { readonly profile: string; readonly date: string; readonly from: Learned };
}

export const piecesJson = ({ pieces, learned }: PiecesReport): PiecesJson => {
  const { touched, share, asMany, asFew, size } = pieces;
  return {
    pieces: {
      count: pieces.pieces,
      touched: { ...touched },
      share: share === undefined ? null : { value: share.value, limits: [share.low, share.high] },
      asMany: asMany ?? null,
      asFew: asFew ?? null,
      size: size === undefined ? null : { ratio: size.ratio, limits: [size.low, size.high], dof: size.dof },
    },
    learned:
      learned === undefined
        ? null
        : {
            profile: learned.profile,
            date: learned.date,
            withheld: learned.from.withheld,
            written: learned.from.text !== undefined,
            pieces: learned.from.pieces.map(({ name, left, figures }) => ({
              name,
              left: left ?? null,
              figures: figures.map((one) => ({
                key: one.key,
                before: one.before === undefined ? null : [...one.before],
                piece: [...one.piece],
                pieceSd: one.pieceSd,
                after: one.after === undefined ? null : [...one.after],
                afterSd: one.afterSd ?? null,
                dof: one.dof ?? null,
                pValue: one.pValue ?? null,
                outcome: one.outcome,
              })),
            })),
          },
  };
};

export const piecesText = ({ pieces, learned }: PiecesReport): string =>
  printable([
    ...(pieces.pieces > 1 ? pieceLines(pieces) : []),
    ...(pieces.pieces > 1 && learned !== undefined ? [''] : []),
    ...(learned === undefined ? [] : learnedLines(learned)),
    '',
  ]);

const percent = (v: number): string => `${fixed(100 * v, 1)} %`;

const pieceLines = ({ pieces, touched, share, asMany, asFew, size }: Pieces): string[] => {
  const risk =
    share === undefined
      ? ['None of their jobs states a risk.']
      : [
          `Of ${counted(touched.of, 'piece')} with a stated risk ${touched.observed} touched: ${percent(share.value)}, 95 % limits ${percent(share.low)} to ${percent(share.high)}; ${fixed(touched.stated, 2)} were to be expected.`,
          asMany !== undefined && asMany < 0.025
            ? `The stated risks are too small (so many or more by chance: ${fixed(asMany, 4)}).`
            : asFew !== undefined && asFew < 0.025
              ? `The stated risks are larger than need be (so few or fewer by chance: ${fixed(asFew, 4)}).`
              : 'That agrees with what was stated.',
        ];
  const sized =
    size === undefined
      ? []
      : [
          `Errors were ${fixed(size.ratio, 2)} times as large as stated, 95 % limits ${fixed(size.low, 2)} to ${fixed(size.high, 2)} (${counted(size.dof, 'error')}).`,
        ];
  return [...wrapped(`${counted(pieces, 'piece')} together.`), ...wrapped([...risk, ...sized].join(' '))];
};

const outcomes: Readonly<Record<LearnedFigure['outcome'], string>> = {
  folded: 'folded in',
  new: 'new',
  contradicts: 'CONTRADICTS, left',
  'no-weight': 'left: no sd to weigh by',
  'not-told': 'left: not told',
  'other-kerf': 'left: the job has a kerf of its own',
};

const learnedLines = ({ profile, date, from }: NonNullable<PiecesReport['learned']>): string[] => {
  const numbers = (values: readonly number[] | undefined): string =>
    values === undefined ? '-' : values.map((v) => fixed(v, 3)).join(', ');
  const rows = from.pieces.flatMap(({ name, left, figures }) =>
    figures.map((one) => [
      name,
      one.key,
      numbers(one.before),
      numbers(one.piece),
      fixed(one.pieceSd, 3),
      numbers(one.after),
      left === undefined ? outcomes[one.outcome] : 'left',
    ]),
  );
  const lefts = from.pieces.flatMap(({ name, left }) =>
    left === undefined ? [] : wrapped(`${name} was left out: ${left}.`, '  - '),
  );
  const written =
    from.text === undefined
      ? `Nothing was written into ${profile}.`
      : `Written into ${profile} (${date}): ${Object.entries(from.set)
          .map(([key, value]) => `${key} ${Array.isArray(value) ? `[${value.join(', ')}]` : String(value)}`)
          .join(', ')}. What was there before stands under "history".`;
  const forced = from.withheld
    ? ' What was left out contradicts the profile or is in doubt: look for the cause first; --force folds it in as it is.'
    : '';
  return [
    ...table(
      [
        { title: 'piece', align: 'left', room: 18 },
        { title: 'figure', align: 'left' },
        { title: 'before', align: 'right' },
        { title: 'piece', align: 'right' },
        { title: 'sd', align: 'right' },
        { title: 'after', align: 'right' },
        { title: '', align: 'left' },
      ],
      rows,
    ),
    ...lefts,
    '',
    ...wrapped(written + forced),
  ];
};
