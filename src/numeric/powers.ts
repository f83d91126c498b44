/**
 * Powers with the same last digit in every engine. `**` is left to each engine (ECMA-262,
 * Number::exponentiate): Node 24 rounds x ** 3 and 10 ** -3 otherwise than Node 20 and 22 do.
 * Squares and powers of two agree everywhere.
 */

/** The double nearest to 10^exponent; whole exponents. */
export const powerOfTen = (exponent: number): number => Number(`1e${exponent}`);

/**
 * base^exponent for a base above 0, to a few units in the last place for exponents of ordinary
 * size.
 */
export const power = (base: number, exponent: number): number => Math.exp(exponent * Math.log(base));

export const cubed = (x: number): number => x * x * x;
