/** Which of very many boxes hold others. */

/** A box may reach out of one that it touches from inside by this, mm. */
export const boxReach = 0.005;

/**
 * Whether one box holds another one. Boxes of the same size hold one another: a disc may fill its square from side to side.
 * @param boxes left, bottom, right and top of each
 */
export const holdsBox = (boxes: Float64Array, i: number, k: number): boolean =>
  i !== k &&
  boxes[4 * i]! <= boxes[4 * k]! + boxReach &&
  boxes[4 * i + 1]! <= boxes[4 * k + 1]! + boxReach &&
  boxes[4 * i + 2]! >= boxes[4 * k + 2]! - boxReach &&
  boxes[4 * i + 3]! >= boxes[4 * k + 3]! - boxReach;

export const boxSize = (boxes: Float64Array, i: number): number =>
  (boxes[4 * i + 2]! - boxes[4 * i]!) * (boxes[4 * i + 3]! - boxes[4 * i + 1]!);

/** So many boxes are looked at for each, on average, before it is given up to tell them apart. */
const mostLooks = 32;

/**
 * The numbers of all boxes that hold another one. A million boxes that lie side by side are gone through in a fraction of
 * the time that an index of them takes. Where boxes cover each other so much that this does not help, all numbers are the answer.
 * @param boxes left, bottom, right and top of each
 */
export const boxHolders = (boxes: Float64Array, count: number): Int32Array => {
  const grid = centresOf(boxes, count);
  const holders = new Int32Array(count);
  let found = 0;
  let looks = mostLooks * count;
  for (let i = 0; i < count; i += 1) {
    const left = grid.columnOf(boxes[4 * i]! - boxReach);
    const right = grid.columnOf(boxes[4 * i + 2]! + boxReach);
    const top = grid.rowOf(boxes[4 * i + 3]! + boxReach);
    let holds = false;
    for (let row = grid.rowOf(boxes[4 * i + 1]! - boxReach); row <= top && !holds; row += 1) {
      const end = grid.starts[row * grid.side + right + 1]!;
      // The cells of a row follow each other.
      for (let at = grid.starts[row * grid.side + left]!; at < end && !holds; at += 1) {
        looks -= 1;
        holds = holdsBox(boxes, i, grid.numbers[at]!);
      }
      looks -= 1;
    }
    if (looks < 0) return Int32Array.from({ length: count }, (_, k) => k);
    if (holds) {
      holders[found] = i;
      found += 1;
    }
  }
  return holders.subarray(0, found);
};

/** The boxes by the cells of a square grid in which their centres lie, row by row; about one in each cell. */
const centresOf = (boxes: Float64Array, count: number) => {
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
  const columnOf = (x: number): number => place(x, minX, maxX);
  const rowOf = (y: number): number => place(y, minY, maxY);
  const cells = new Int32Array(count);
  const starts = new Int32Array(side * side + 1);
  for (let i = 0; i < count; i += 1) {
    const x = (boxes[4 * i]! + boxes[4 * i + 2]!) / 2;
    const y = (boxes[4 * i + 1]! + boxes[4 * i + 3]!) / 2;
    cells[i] = rowOf(y) * side + columnOf(x);
    starts[cells[i]! + 1]! += 1;
  }
  for (let cell = 0; cell < side * side; cell += 1) starts[cell + 1]! += starts[cell]!;
  const numbers = new Int32Array(count);
  const next = starts.slice();
  for (let i = 0; i < count; i += 1) {
    numbers[next[cells[i]!]!] = i;
    next[cells[i]!]! += 1;
  }
  return { side, columnOf, rowOf, starts, numbers };
};
