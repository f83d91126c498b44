/** Which of very many boxes meet one another. */

/** So many cells, and so many pairs, are noted for each box on average before it is given up. */
const mostNoted = 8;

/**
 * Pairs of boxes that meet and belong together, each once and smaller number first, in order. Boxes side by side are gone
 * through in a fraction of the time that an index of them takes.
 * @param boxes left, bottom, right and top of each
 * @param belong whether a pair counts
 * @returns two numbers for each pair; undefined where boxes cover each other so much that this does not help
 */
export const meetingBoxes = (
  boxes: Float64Array,
  count: number,
  belong: (i: number, k: number) => boolean,
): readonly (readonly [number, number])[] | undefined => {
  const { side, columnOf, rowOf } = gridOf(boxes, count);
  const eachCell = (i: number, visit: (cell: number) => void): void => {
    const [left, right] = [columnOf(boxes[4 * i]!), columnOf(boxes[4 * i + 2]!)];
    const top = rowOf(boxes[4 * i + 3]!);
    for (let row = rowOf(boxes[4 * i + 1]!); row <= top; row += 1) {
      for (let column = left; column <= right; column += 1) visit(row * side + column);
    }
  };
  const starts = new Int32Array(side * side + 1);
  let noted = 0;
  for (let i = 0; i < count; i += 1) {
    eachCell(i, (cell) => {
      starts[cell + 1]! += 1;
      noted += 1;
    });
    if (noted > mostNoted * count) return undefined;
  }
  for (let cell = 0; cell < side * side; cell += 1) starts[cell + 1]! += starts[cell]!;
  const numbers = new Int32Array(noted);
  const next = starts.slice();
  for (let i = 0; i < count; i += 1) {
    eachCell(i, (cell) => {
      numbers[next[cell]!] = i;
      next[cell]! += 1;
    });
  }
  const pairs: [number, number][] = [];
  let looks = 0;
  for (let cell = 0; cell < side * side; cell += 1) {
    const end = starts[cell + 1]!;
    for (let a = starts[cell]!; a < end; a += 1) {
      const i = numbers[a]!;
      looks += end - a;
      for (let b = a + 1; b < end; b += 1) {
        const k = numbers[b]!;
        const left = Math.max(boxes[4 * i]!, boxes[4 * k]!);
        const bottom = Math.max(boxes[4 * i + 1]!, boxes[4 * k + 1]!);
        if (left > Math.min(boxes[4 * i + 2]!, boxes[4 * k + 2]!)) continue;
        if (bottom > Math.min(boxes[4 * i + 3]!, boxes[4 * k + 3]!)) continue;
        // Of the cells that both lie in the one with the corner of what they have in common.
        if (rowOf(bottom) * side + columnOf(left) !== cell || !belong(i, k)) continue;
        pairs.push([i, k]);
      }
    }
    if (looks > 4 * mostNoted * count || pairs.length > count) return undefined;
  }
  return pairs.sort(([i, k], [j, l]) => i - j || k - l);
};

/** About one cell for each box. */
const gridOf = (boxes: Float64Array, count: number) => {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < 4 * count; i += 4) {
    minX = Math.min(minX, boxes[i]!);
    minY = Math.min(minY, boxes[i + 1]!);
    maxX = Math.max(maxX, boxes[i + 2]!);
    maxY = Math.max(maxY, boxes[i + 3]!);
  }
  const side = Math.max(1, Math.ceil(Math.sqrt(count)));
  const place = (value: number, from: number, to: number): number =>
    to > from ? Math.max(0, Math.min(side - 1, Math.floor(((value - from) / (to - from)) * side))) : 0;
  return {
    side,
    columnOf: (x: number): number => place(x, minX, maxX),
    rowOf: (y: number): number => place(y, minY, maxY),
  };
};
