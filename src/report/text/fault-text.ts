/** How a wrong input is told. */
import type { FitFailure } from '../../fit/fit.js';
import type { InputError, Warning, Where } from '../../job/messages.js';
import { printable } from './layout.js';
import { warningLines } from './warnings-text.js';

/** `fern.yaml:12:3, cut.clearance`, as far as it is known; undefined when nothing is. */
export const placeText = (where: Where): string | undefined => {
  const place =
    where.file === undefined
      ? where.line === undefined
        ? ''
        : `line ${where.line}`
      : [where.file, where.line, where.line === undefined ? undefined : where.column]
          .filter((part) => part !== undefined)
          .join(':');
  const parts = [place, where.element ?? ''].filter((part) => part !== '');
  return parts.length === 0 ? undefined : parts.join(', ');
};

/**
 * One message of four lines: where, what was found, what was expected, what to do.
 *
 * @param file what was being worked on, for an error that names no file
 */
export const faultText = (error: InputError, file?: string): string => {
  const place = placeText({ ...(file === undefined ? {} : { file }), ...error.where });
  return printable([
    `reseat: ${place ?? 'this call is not understood'}`,
    `  found:    ${error.found}`,
    `  expected: ${error.expected}`,
    `  next:     ${error.next}`,
    ...error.lines.map((line) => `              ${line}`),
  ]);
};

/** How a fit without solution is told, with what the readings look like instead. */
export const failureText = (
  job: string,
  failure: FitFailure,
  warnings: readonly Warning[],
  what = 'the fit has no solution',
): string =>
  printable([
    `reseat: ${job}: ${what}`,
    `  reason:   ${failure.reason}`,
    `  next:     ${failure.cure}`,
    ...warningLines(warnings),
  ]);
