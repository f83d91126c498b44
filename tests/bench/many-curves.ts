/** Drawings of many curves, made up from a fixed seed. */

/** A panel of `shapes` closed paths of eight cubics each; 2,000 of them are 16,000 cubics and about 1.3 MB. */
export const manyCurves = (shapes: number, cubics = 8): string => {
  // Park and Miller's minimal standard generator (Communications of the ACM 31(10), 1988).
  let seed = 20261125;
  const random = (): number => {
    seed = (seed * 16807) % 2147483647;
    return seed / 2147483647;
  };
  const paths = Array.from({ length: shapes }, (_, i) => {
    const x = 10 + 1170 * random();
    const y = 10 + 870 * random();
    const near = (): string => `${(x + 10 * random()).toFixed(6)},${(y + 10 * random()).toFixed(6)}`;
    const curves = Array.from({ length: cubics }, () => ` C ${near()} ${near()} ${near()}`).join('');
    return `<path style="fill:none;stroke:#000" d="M ${near()}${curves} Z" id="leaf-${i}"/>`;
  });
  return (
    '<svg xmlns="http://www.w3.org/2000/svg" width="1200mm" height="900mm" viewBox="0 0 1200 900">\n' +
    `<g id="openings">\n${paths.join('\n')}\n</g></svg>`
  );
};
