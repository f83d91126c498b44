/** How a wrong input is told. */
import type { FitFailure } from '../fit/fit.js';
import type { InputError, Where } from '../job/messages.js';
import { printable } from './layout.js';

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

/** One message of four lines at most: where, what was found, what was expected, what to do. */
export const faultText = (error: InputError): string => {
  const place = placeText(error.where);
  return printable([
    `reseat: ${place ?? 'this call is not understood'}`,
    `  found:    ${error.found}`,
    `  expected: ${error.expected}`,
    `  next:     ${error.next}`,
  ]);
};

/** How a fit without solution is told. */
export const failureText = (job: string, failure: FitFailure): string =>
  printable([
    `reseat: ${job}: the fit has no solution`,
    `  reason:   ${failure.reason}`,
    `  next:     ${failure.cure}`,
  ]);
