/** How old a profile is, on a date that whoever calls passes in: a job's own, or today's. */
import { monthsBetween } from '../job/dates.js';
import { type Machine, machineParts } from '../job/job.js';
import type { Warning } from '../job/messages.js';

/** A bed is measured anew once a year, a fresh one sooner. Common practice, no source. */
export const monthsUntilOld = 12;

/** `old-profile` where a part of the machine was measured a year or more before the date; none without a date. */
export const ageWarnings = (
  { measured, measuredParts }: Pick<Machine, 'measured' | 'measuredParts'>,
  date: string | undefined,
): Warning[] => {
  if (date === undefined || measured === undefined) return [];
  const parts = machineParts.flatMap((part) => {
    const day = measuredParts?.[part];
    return day !== undefined && monthsBetween(day, date) >= monthsUntilOld ? [`${part} ${day}`] : [];
  });
  if (monthsBetween(measured, date) < monthsUntilOld) return [];
  const what =
    parts.length === 0
      ? `The machine was last measured on ${measured}`
      : `Parts of the machine were measured long ago (${parts.join(', ')})`;
  return [
    {
      code: 'old-profile',
      message: `${what}; the date here is ${date}. "reseat calibrate drift" with some recent jobs shows whether sizes still agree; "reseat calibrate sheet" starts a new measurement.`,
    },
  ];
};

/**
 * A part that came back another size may as well lie on a bed that is no longer what its profile says: where a bed map
 * is in use, `size-changed` says so, too. One job cannot tell the two apart; several can (drift.ts).
 */
export const doubtBed = (
  warnings: readonly Warning[],
  { bedMap, measured, measuredParts }: Pick<Machine, 'bedMap' | 'measured' | 'measuredParts'>,
): Warning[] => {
  const { scale, skew } = bedMap;
  if (scale[0] === 1 && scale[1] === 1 && skew === 0) return [...warnings];
  const day = measuredParts?.bed ?? measured;
  const since = day === undefined ? 'since its bed was measured' : `since its bed was measured on ${day}`;
  return warnings.map((warning) =>
    warning.code === 'size-changed'
      ? {
          ...warning,
          message: `${warning.message} Or the machine has drifted ${since}: "reseat calibrate drift" with several recent jobs tells which.`,
        }
      : warning,
  );
};
