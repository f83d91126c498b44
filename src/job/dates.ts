/** Days as ISO 8601 writes them: 2026-03-02. No clock in here; whoever needs today passes it in. */
import { type Field, refused, text } from './read/fields.js';

/** True for a day that exists, written year-month-day. */
export const isDate = (written: string): boolean => {
  const [, year, month, day] = /^(\d{4})-(\d\d)-(\d\d)$/.exec(written) ?? [];
  if (Number(month) < 1 || Number(month) > 12 || Number(day) < 1) return false;
  return Number(day) <= new Date(Date.UTC(Number(year), Number(month), 0)).getUTCDate();
};

/**
 * `, 2026-02-03 or 2026-03-02`: what a day written with the year last may be; undefined where it is
 * none in either order.
 */
const asIso = (written: string): string | undefined => {
  const [, first, second, year] = /^(\d{1,2})[./-](\d{1,2})[./-](\d{4})$/.exec(written) ?? [];
  if (year === undefined) return undefined;
  const two = (figure: string): string => figure.padStart(2, '0');
  const meant = [`${year}-${two(second!)}-${two(first!)}`, `${year}-${two(first!)}-${two(second!)}`].filter(
    isDate,
  );
  return meant.length === 0 ? undefined : `, ${[...new Set(meant)].join(' or ')}`;
};

/** @throws InputError */
export const date = (field: Field): string => {
  const written = text(field, 'a date such as 2026-03-02');
  if (!isDate(written)) {
    throw refused(
      field,
      'a date such as 2026-03-02',
      `Write year-month-day (ISO 8601)${asIso(written) ?? ''}.`,
    );
  }
  return written;
};

/** Days from one date to another; negative when `to` is the earlier one. */
export const daysBetween = (from: string, to: string): number =>
  Math.round((Date.parse(to) - Date.parse(from)) / 86_400_000);

/** Whole months from one date to another, 0 when `to` is not a month later. */
export const monthsBetween = (from: string, to: string): number => {
  const [fromYear = 0, fromMonth = 0, fromDay = 0] = from.split('-').map(Number);
  const [toYear = 0, toMonth = 0, toDay = 0] = to.split('-').map(Number);
  return Math.max(0, 12 * (toYear - fromYear) + toMonth - fromMonth - (toDay < fromDay ? 1 : 0));
};
