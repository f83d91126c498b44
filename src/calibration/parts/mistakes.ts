/**
 * Which mistake may be behind measurements that do not agree: each possible one is weighed by how well the measurements
 * agree with it put right, after H. Jeffreys, *Theory of Probability*, as the slips of a job are (fit/slips).
 */
import type { SharedFit } from './shared-errors.js';

export interface PossibleMistake<T> {
  readonly what: T;
  /** How plausible beside "no mistake" at 1: judgement of the trade, no source. */
  readonly prior: number;
  /** By how much it enters each row, mm; of a mistake of unknown size, for one mm of it. */
  readonly enters: readonly number[];
  readonly isKnown?: boolean;
  /** Only a mistake above 0 makes sense. */
  readonly positive?: boolean;
}

export interface WeighedMistake<T> {
  readonly what: T;
  /** Share of the belief, 0..1. */
  readonly share: number;
  /** Its size, where it has one, mm, and the sd of that. */
  readonly size?: number;
  readonly sizeSd?: number;
}

/** The smallest mistake worth the name and the largest one by hand, mm. */
const sizes = [0.05, 1000] as const;

/** ln of the density of a mistake of unknown size: every order of magnitude is as likely as the next. */
const logSize = (size: number, isPositive: boolean): number =>
  -Math.log((isPositive ? 1 : 2) * Math.log(sizes[1] / sizes[0])) -
  Math.log(Math.max(sizes[0], Math.abs(size)));

/** All possible mistakes, most believed first; what is missing to 1 is the belief in none. */
export const weighMistakes = <T>(
  fit: SharedFit,
  possible: readonly PossibleMistake<T>[],
): WeighedMistake<T>[] => {
  const logs = possible.map(({ what, prior, enters, isKnown = false, positive = false }) => {
    const { log, size, sizeSd } = fit.mistake(enters, isKnown);
    const weighed = Math.log(prior) + log;
    if (isKnown) return { what, log: weighed };
    if (positive && !(size > 0)) return { what, log: Number.NEGATIVE_INFINITY, size, sizeSd };
    return { what, log: weighed + logSize(size, positive), size, sizeSd };
  });
  const top = Math.max(0, ...logs.map((l) => l.log));
  const total = Math.exp(-top) + logs.reduce((sum, l) => sum + Math.exp(l.log - top), 0);
  return logs
    .map(({ log, ...rest }) => ({ ...rest, share: Math.exp(log - top) / total }))
    .sort((a, b) => b.share - a.share);
};

/** Belief in any mistake at which measurements count as in doubt. */
export const doubtedAbove = 0.25;
/** Share of the belief in mistakes at which one is named. */
export const namedAbove = 0.1;

/** What to name: nothing, one mistake, or several that cannot be told apart. */
export const namedMistakes = <T>(weighed: readonly WeighedMistake<T>[]): readonly WeighedMistake<T>[] => {
  const all = weighed.reduce((sum, w) => sum + w.share, 0);
  return all > doubtedAbove ? weighed.filter((w) => w.share > namedAbove * all).slice(0, 3) : [];
};
