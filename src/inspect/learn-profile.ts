/** Learning from finished pieces, written into a profile: new figures in their places, old ones under `history`, the pieces listed. */
import { parse } from 'yaml';
import { type UpdatedProfile, updateProfile, withInspected } from '../calibration/profile.js';
import { micrometre, type ProfileValue, type Proposal, threeDigits } from '../calibration/proposal.js';
import { readProfileText } from '../job/read/read-machine.js';
import { afterLearning, type KnownMachine, type LearnedFigure, learnFrom, type PieceSays } from './learn.js';

export interface LearningPiece {
  /** The name that is listed: job, its date, and scan. */
  readonly name: string;
  /** ISO date of the job. */
  readonly date?: string;
  readonly says: PieceSays;
  /** Why its figures are in doubt by themselves, a clause. */
  readonly doubt?: string;
}

export interface LearnedPiece {
  readonly name: string;
  readonly figures: readonly LearnedFigure[];
  /** Why nothing of it was folded in, a clause. */
  readonly left?: string;
}

export interface Learned {
  readonly pieces: readonly LearnedPiece[];
  /** Something was left out that force would have written. */
  readonly withheld: boolean;
  /** The profile's new text; absent where nothing changes. */
  readonly text?: string;
  readonly replaced: NonNullable<UpdatedProfile['replaced']>['values'];
  readonly set: Proposal['set'];
}

/**
 * @param date of today, ISO
 * @throws InputError for a profile that is not sound
 */
export const learnInto = (
  profile: { readonly path: string; readonly text: string },
  pieces: readonly LearningPiece[],
  date: string,
  force: boolean,
): Learned => {
  readProfileText(profile.path, profile.text);
  const raw = (parse(profile.text) ?? {}) as { readonly [key: string]: unknown };
  const before = knownIn(raw);
  const listed = new Set((raw.inspected as readonly unknown[] | undefined)?.map(String) ?? []);
  let known = before;
  const names: string[] = [];
  const learned = pieces.map((piece): LearnedPiece => {
    const { name, says, doubt } = piece;
    const reason = listed.has(name)
      ? 'it is in the figures already'
      : (doubt ?? changedSince(raw, piece.date));
    const figures = learnFrom(known, says, force);
    if (reason !== undefined && !force)
      return {
        name,
        left: reason,
        figures: figures.map(({ after: _a, afterSd: _s, dof: _d, ...rest }) => rest),
      };
    if (figures.some(({ after }) => after !== undefined)) {
      known = afterLearning(known, figures);
      names.push(name);
      listed.add(name);
    }
    return { name, figures };
  });
  const withheld =
    !force &&
    learned.some(
      ({ left, figures }) => left !== undefined || figures.some(({ outcome }) => outcome === 'contradicts'),
    );
  if (names.length === 0) return { pieces: learned, withheld, replaced: {}, set: {} };
  const { text, replaced, set } = writtenInto(profile, before, known, date);
  return { pieces: learned, withheld, text: withInspected(text, names), replaced, set };
};

const number = (value: unknown): number | undefined => (value === undefined ? undefined : Number(value));

const knownIn = (raw: { readonly [key: string]: unknown }): KnownMachine => {
  const offset = raw['beam-offset'] as readonly unknown[] | undefined;
  const entries = {
    kerf: number(raw.kerf),
    kerfSd: number(raw['kerf-sd']),
    kerfDof: number(raw['kerf-dof']),
    offset: offset === undefined ? undefined : ([Number(offset[0]), Number(offset[1])] as const),
    offsetSd: number(raw['beam-offset-sd']),
    cutSd: number(raw['cut-sd']),
    cutSdDof: number(raw['cut-sd-dof']),
  };
  return Object.fromEntries(Object.entries(entries).filter(([, v]) => v !== undefined)) as KnownMachine;
};

/** A piece that was cut with other figures than the profile has now tells nothing of these. */
const changedSince = (
  raw: { readonly [key: string]: unknown },
  date: string | undefined,
): string | undefined => {
  const history = (raw.history ?? []) as readonly { readonly [key: string]: unknown }[];
  const changes = history
    .filter((entry) => 'kerf' in entry || 'beam-offset' in entry)
    .map(({ replaced }) => String(replaced));
  const last = changes.sort().at(-1);
  if (last === undefined) return undefined;
  if (date === undefined)
    return `the job has no "date", and the profile was changed on ${last}: the piece may have been cut before`;
  return last > date ? `the profile was changed on ${last}, after it was cut` : undefined;
};

const writtenInto = (
  profile: { readonly path: string; readonly text: string },
  before: KnownMachine,
  known: KnownMachine,
  date: string,
): Pick<Learned, 'replaced' | 'set'> & { readonly text: string } => {
  const kerf: { [key: string]: ProfileValue } = {};
  if (known.kerf !== before.kerf) kerf.kerf = micrometre(known.kerf!);
  if (known.kerfSd !== before.kerfSd) kerf['kerf-sd'] = threeDigits(Math.max(0.001, known.kerfSd!));
  if (known.kerfDof !== before.kerfDof) kerf['kerf-dof'] = threeDigits(known.kerfDof!);
  const beam: { [key: string]: ProfileValue } = {};
  if (known.offset !== before.offset) beam['beam-offset'] = known.offset!.map(micrometre);
  if (known.offsetSd !== before.offsetSd)
    beam['beam-offset-sd'] = threeDigits(Math.max(0.001, known.offsetSd!));
  if (known.cutSd !== before.cutSd) beam['cut-sd'] = threeDigits(Math.max(0.001, known.cutSd!));
  if (known.cutSdDof !== before.cutSdDof) beam['cut-sd-dof'] = threeDigits(known.cutSdDof!);
  let { text } = profile;
  let replaced: Learned['replaced'] = {};
  for (const proposal of [
    { part: 'kerf', set: kerf, remove: [] },
    { part: 'beam', set: beam, remove: [] },
  ] as const) {
    if (Object.keys(proposal.set).length === 0) continue;
    const updated = updateProfile({ path: profile.path, text }, proposal, date);
    text = updated.text;
    replaced = { ...replaced, ...updated.replaced?.values };
  }
  return { text, replaced, set: { ...kerf, ...beam } };
};
