/**
 * Sines, logarithms and their like with the last digit that Node's engine gives them: ECMA-262 leaves it to each engine, and a
 * file saved here is to be the one that the command line writes, byte for byte.
 *
 * The formulas are those of fdlibm (Sun Microsystems, 1993, freely granted: s_sin.c, k_sin.c, k_cos.c, e_rem_pio2.c, k_tan.c,
 * s_atan.c, e_atan2.c, e_asin.c, e_acos.c, e_exp.c, e_log.c) and of FreeBSD's s_cbrt.c, from which that engine has its own.
 * Arguments that need more than 60 bits of pi are left to the engine at hand: there is no such angle here.
 */

const float = new Float64Array(1);
const words = new Uint32Array(float.buffer);
// Every engine that runs pages keeps numbers with the low word first.
const high = (x: number): number => {
  float[0] = x;
  return words[1]! | 0;
};
const low = (x: number): number => {
  float[0] = x;
  return words[0]!;
};
const fromWords = (h: number, l: number): number => {
  words[0] = l;
  words[1] = h;
  return float[0]!;
};
const withoutLow = (x: number): number => {
  float[0] = x;
  words[0] = 0;
  return float[0]!;
};

const own = {
  sin: Math.sin,
  cos: Math.cos,
  tan: Math.tan,
} as const;

/* Sine, cosine and tangent */

const kernelSin = (x: number, y: number, isExact: boolean): number => {
  if ((high(x) & 0x7fffffff) < 0x3e400000) return x;
  const z = x * x;
  const v = z * x;
  const r =
    0.00833333333332249 +
    z *
      (-0.0001984126982985795 +
        z * (0.0000027557313707070068 + z * (-2.5050760253406863e-8 + z * 1.58969099521155e-10)));
  const s1 = -0.16666666666666632;
  return isExact ? x + v * (s1 + z * r) : x - (z * (0.5 * y - v * r) - y - v * s1);
};

const kernelCos = (x: number, y: number): number => {
  const ix = high(x) & 0x7fffffff;
  if (ix < 0x3e400000) return 1;
  const z = x * x;
  const r =
    z *
    (0.0416666666666666 +
      z *
        (-0.001388888888887411 +
          z *
            (0.00002480158728947673 +
              z * (-2.7557314351390663e-7 + z * (2.087572321298175e-9 + z * -1.1359647557788195e-11)))));
  if (ix < 0x3fd33333) return 1 - (0.5 * z - (z * r - x * y));
  const q = ix > 0x3fe90000 ? 0.28125 : fromWords(ix - 0x00200000, 0);
  return 1 - q - (0.5 * z - q - (z * r - x * y));
};

/** High words of the first multiples of pi/2. */
const multiples = Int32Array.from({ length: 32 }, (_, n) => high(((n + 1) * Math.PI) / 2));
const halfPi = 1.5707963267341256;
const halfPiTail = 6.077100506506192e-11;
const halfPi2 = 6.077100506303966e-11;
const halfPiTail2 = 2.0222662487959506e-21;
const halfPi3 = 2.0222662487111665e-21;
const halfPiTail3 = 8.4784276603689e-32;
/** What is left of an angle, in two parts. */
let rest = 0;
let restTail = 0;

/** @returns how many times pi/2 was taken off; undefined for an angle that is too large */
const reduced = (x: number): number | undefined => {
  const hx = high(x);
  const ix = hx & 0x7fffffff;
  const sign = hx < 0 ? -1 : 1;
  if (ix < 0x4002d97c) {
    let z = sign * x - halfPi;
    let tail = halfPiTail;
    if (ix === 0x3ff921fb) {
      z -= halfPi2;
      tail = halfPiTail2;
    }
    const y = z - tail;
    rest = sign * y;
    restTail = sign * (z - y - tail);
    return sign;
  }
  if (ix > 0x413921fb) return undefined;
  const t = Math.abs(x);
  const n = Math.trunc(t * 0.6366197723675814 + 0.5);
  let r = t - n * halfPi;
  let w = n * halfPiTail;
  let y = r - w;
  if (!(n < 32 && ix !== multiples[n - 1])) {
    const j = ix >> 20;
    if (j - ((high(y) >> 20) & 0x7ff) > 16) {
      let before = r;
      w = n * halfPi2;
      r = before - w;
      w = n * halfPiTail2 - (before - r - w);
      y = r - w;
      if (j - ((high(y) >> 20) & 0x7ff) > 49) {
        before = r;
        w = n * halfPi3;
        r = before - w;
        w = n * halfPiTail3 - (before - r - w);
        y = r - w;
      }
    }
  }
  rest = sign * y;
  restTail = sign * (r - y - w);
  return sign * n;
};

const quarterTurn = 0x3fe921fb;

const sin = (x: number): number => {
  if ((high(x) & 0x7fffffff) <= quarterTurn) return kernelSin(x, 0, true);
  const n = reduced(x);
  if (n === undefined) return own.sin(x);
  const size = n & 1 ? kernelCos(rest, restTail) : kernelSin(rest, restTail, false);
  return n & 2 ? -size : size;
};

const cos = (x: number): number => {
  if ((high(x) & 0x7fffffff) <= quarterTurn) return kernelCos(x, 0);
  const n = reduced(x);
  if (n === undefined) return own.cos(x);
  const size = n & 1 ? kernelSin(rest, restTail, false) : kernelCos(rest, restTail);
  return (n + 1) & 2 ? -size : size;
};

const T = [
  0.3333333333333341, 0.13333333333320124, 0.05396825397622605, 0.021869488294859542, 0.0088632398235993,
  0.0035920791075913124, 0.0014562094543252903, 0.0005880412408202641, 0.0002464631348184699,
  0.00007817944429395571, 0.00007140724913826082, -0.000018558637485527546, 0.00002590730518636337,
] as const;

/** @param way 1 for the tangent, -1 for minus its inverse */
const kernelTan = (given: number, tail: number, way: 1 | -1): number => {
  let [x, y] = [given, tail];
  const hx = high(x);
  const ix = hx & 0x7fffffff;
  if (ix < 0x3e300000 && way === 1) return x;
  const isLarge = ix >= 0x3fe59428;
  if (isLarge) {
    if (hx < 0) [x, y] = [-x, -y];
    x = 0.7853981633974483 - x + (3.061616997868383e-17 - y);
    y = 0;
  }
  const z = x * x;
  const w = z * z;
  const odd = T[1] + w * (T[3] + w * (T[5] + w * (T[7] + w * (T[9] + w * T[11]))));
  const even = z * (T[2] + w * (T[4] + w * (T[6] + w * (T[8] + w * (T[10] + w * T[12])))));
  const s = z * x;
  let r = y + z * (s * (odd + even) + y);
  r += T[0] * s;
  const u = x + r;
  if (isLarge) return (1 - ((hx >> 30) & 2)) * (way - 2 * (x - ((u * u) / (u + way) - r)));
  if (way === 1) return u;
  const head = withoutLow(u);
  const v = r - (head - x);
  const a = -1 / u;
  const t = withoutLow(a);
  return t + a * (1 + t * head + t * v);
};

const tan = (x: number): number => {
  if ((high(x) & 0x7fffffff) <= quarterTurn) return kernelTan(x, 0, 1);
  const n = reduced(x);
  if (n === undefined) return own.tan(x);
  return kernelTan(rest, restTail, n & 1 ? -1 : 1);
};

/* Their inverses */

const atanHigh = [0.4636476090008061, 0.7853981633974483, 0.982793723247329, 1.5707963267948966] as const;
const atanLow = [
  2.2698777452961687e-17, 3.061616997868383e-17, 1.3903311031230998e-17, 6.123233995736766e-17,
] as const;
const A = [
  0.3333333333333293, -0.19999999999876483, 0.14285714272503466, -0.11111110405462356, 0.09090887133436507,
  -0.0769187620504483, 0.06661073137387531, -0.058335701337905735, 0.049768779946159324,
  -0.036531572744216916, 0.016285820115365782,
] as const;

const atan = (given: number): number => {
  let x = given;
  const hx = high(x);
  const ix = hx & 0x7fffffff;
  if (ix >= 0x44100000) {
    if (Number.isNaN(x)) return x;
    return hx > 0 ? atanHigh[3] + atanLow[3] : -atanHigh[3] - atanLow[3];
  }
  let id = -1;
  if (ix < 0x3fdc0000) {
    if (ix < 0x3e400000) return x;
  } else {
    x = Math.abs(x);
    if (ix < 0x3fe60000) {
      id = 0;
      x = (2 * x - 1) / (2 + x);
    } else if (ix < 0x3ff30000) {
      id = 1;
      x = (x - 1) / (x + 1);
    } else if (ix < 0x40038000) {
      id = 2;
      x = (x - 1.5) / (1 + 1.5 * x);
    } else {
      id = 3;
      x = -1 / x;
    }
  }
  const z = x * x;
  const w = z * z;
  const s1 = z * (A[0] + w * (A[2] + w * (A[4] + w * (A[6] + w * (A[8] + w * A[10])))));
  const s2 = w * (A[1] + w * (A[3] + w * (A[5] + w * (A[7] + w * A[9]))));
  if (id < 0) return x - x * (s1 + s2);
  const size = atanHigh[id]! - (x * (s1 + s2) - atanLow[id]! - x);
  return hx < 0 ? -size : size;
};

const pi = Math.PI;
const piLow = 1.2246467991473532e-16;

const atan2 = (y: number, x: number): number => {
  if (Number.isNaN(x) || Number.isNaN(y)) return Number.NaN;
  if (x === 1) return atan(y);
  const [hx, hy] = [high(x), high(y)];
  const [ix, iy] = [hx & 0x7fffffff, hy & 0x7fffffff];
  const [isLeft, isBelow] = [hx < 0, hy < 0];
  if (y === 0) return isLeft ? (isBelow ? -pi : pi) : y;
  if (x === 0) return isBelow ? -pi / 2 : pi / 2;
  if (ix === 0x7ff00000) {
    const size = isLeft ? (iy === 0x7ff00000 ? (3 * pi) / 4 : pi) : iy === 0x7ff00000 ? pi / 4 : 0;
    return isBelow ? -size : size;
  }
  if (iy === 0x7ff00000) return isBelow ? -pi / 2 : pi / 2;
  const k = (iy - ix) >> 20;
  if (k > 60) return isBelow ? -(pi / 2 + 0.5 * piLow) : pi / 2 + 0.5 * piLow;
  const z = isLeft && k < -60 ? 0 : atan(Math.abs(y / x));
  if (!isLeft) return isBelow ? -z : z;
  return isBelow ? z - piLow - pi : pi - (z - piLow);
};

const halfPiHigh = 1.5707963267948966;
const halfPiLow = 6.123233995736766e-17;

/** What asin and acos have in common: (asin x - x) / x of x squared. */
const arcShare = (t: number): number => {
  const p =
    t *
    (0.16666666666666666 +
      t *
        (-0.3255658186224009 +
          t *
            (0.20121253213486293 +
              t * (-0.04005553450067941 + t * (0.0007915349942898145 + t * 0.00003479331075960212)))));
  const q =
    1 +
    t * (-2.403394911734414 + t * (2.0209457602335057 + t * (-0.6882839716054533 + t * 0.07703815055590194)));
  return p / q;
};

const asin = (x: number): number => {
  const hx = high(x);
  const ix = hx & 0x7fffffff;
  if (ix >= 0x3ff00000) return Math.abs(x) === 1 ? x * halfPiHigh + x * halfPiLow : Number.NaN;
  if (ix < 0x3fe00000) return ix < 0x3e400000 ? x : x + x * arcShare(x * x);
  const t = (1 - Math.abs(x)) * 0.5;
  const share = arcShare(t);
  const s = Math.sqrt(t);
  let size: number;
  if (ix >= 0x3fef3333) size = halfPiHigh - (2 * (s + s * share) - halfPiLow);
  else {
    const w = withoutLow(s);
    const c = (t - w * w) / (s + w);
    const quarter = 0.7853981633974483;
    size = quarter - (2 * s * share - (halfPiLow - 2 * c) - (quarter - 2 * w));
  }
  return hx > 0 ? size : -size;
};

const acos = (x: number): number => {
  const hx = high(x);
  const ix = hx & 0x7fffffff;
  if (ix >= 0x3ff00000) return x === 1 ? 0 : x === -1 ? pi + 2 * halfPiLow : Number.NaN;
  if (ix < 0x3fe00000) {
    if (ix <= 0x3c600000) return halfPiHigh + halfPiLow;
    return halfPiHigh - (x - (halfPiLow - x * arcShare(x * x)));
  }
  if (hx < 0) {
    const z = (1 + x) * 0.5;
    const s = Math.sqrt(z);
    return pi - 2 * (s + (arcShare(z) * s - halfPiLow));
  }
  const z = (1 - x) * 0.5;
  const s = Math.sqrt(z);
  const head = withoutLow(s);
  const c = (z - head * head) / (s + head);
  return 2 * (head + (arcShare(z) * s + c));
};

/* Powers, logarithms, roots */

const ln2High = 0.6931471803691238;
const ln2Low = 1.9082149292705877e-10;

const exp = (given: number): number => {
  let x = given;
  const signed = high(x);
  const hx = signed & 0x7fffffff;
  const isNegative = signed < 0;
  if (hx >= 0x40862e42) {
    if (Number.isNaN(x)) return x;
    if (x > 709.782712893384) return Number.POSITIVE_INFINITY;
    if (x < -745.1332191019411) return 0;
  }
  let [hi, lo, k] = [0, 0, 0];
  if (hx > 0x3fd62e42) {
    if (hx < 0x3ff0a2b2) {
      if (x === 1) return Math.E;
      hi = isNegative ? x + ln2High : x - ln2High;
      lo = isNegative ? -ln2Low : ln2Low;
      k = isNegative ? -1 : 1;
    } else {
      k = Math.trunc(Math.LOG2E * x + (isNegative ? -0.5 : 0.5));
      hi = x - k * ln2High;
      lo = k * ln2Low;
    }
    x = hi - lo;
  } else if (hx < 0x3e300000) return 1 + x;
  const t = x * x;
  const c =
    x -
    t *
      (0.16666666666666602 +
        t *
          (-0.0027777777777015593 +
            t * (0.00006613756321437934 + t * (-0.0000016533902205465252 + t * 4.1381367970572385e-8))));
  if (k === 0) return 1 - ((x * c) / (c - 2) - x);
  const y = 1 - (lo - (x * c) / (2 - c) - hi);
  if (k === 1024) return y * 2 * fromWords(0x7fe00000, 0);
  return k >= -1021
    ? y * fromWords(0x3ff00000 + (k << 20), 0)
    : y * fromWords(0x3ff00000 + ((k + 1000) << 20), 0) * 9.332636185032189e-302;
};

const log = (given: number): number => {
  let x = given;
  let hx = high(x);
  let k = 0;
  if (hx < 0x00100000) {
    if (x === 0) return Number.NEGATIVE_INFINITY;
    if (hx < 0) return Number.NaN;
    k = -54;
    x *= 18014398509481984;
    hx = high(x);
  }
  if (hx >= 0x7ff00000) return x;
  const bottom = low(x);
  k += (hx >> 20) - 1023;
  hx &= 0x000fffff;
  const i = (hx + 0x95f64) & 0x100000;
  x = fromWords(hx | (i ^ 0x3ff00000), bottom);
  k += i >> 20;
  const f = x - 1;
  if ((0x000fffff & (2 + hx)) < 3) {
    if (f === 0) return k === 0 ? 0 : k * ln2High + k * ln2Low;
    const R = f * f * (0.5 - 0.3333333333333333 * f);
    return k === 0 ? f - R : k * ln2High - (R - k * ln2Low - f);
  }
  const s = f / (2 + f);
  const z = s * s;
  const w = z * z;
  const t1 = w * (0.3999999999940942 + w * (0.22222198432149784 + w * 0.15313837699209373));
  const t2 =
    z * (0.6666666666666735 + w * (0.2857142874366239 + w * (0.1818357216161805 + w * 0.14798198605116586)));
  const R = t2 + t1;
  if (((hx - 0x6147a) | (0x6b851 - hx)) > 0) {
    const half = 0.5 * f * f;
    return k === 0 ? f - (half - s * (half + R)) : k * ln2High - (half - (s * (half + R) + k * ln2Low) - f);
  }
  return k === 0 ? f - s * (f - R) : k * ln2High - (s * (f - R) - k * ln2Low - f);
};

const cbrt = (x: number): number => {
  const signed = high(x);
  const sign = signed & 0x80000000;
  const hx = signed & 0x7fffffff;
  if (hx >= 0x7ff00000 || x === 0) return x;
  let t =
    hx < 0x00100000
      ? fromWords(sign | (Math.trunc((high(x * 18014398509481984) & 0x7fffffff) / 3) + 696219795), 0)
      : fromWords(sign | (Math.trunc(hx / 3) + 715094163), 0);
  let r = t * t * (t / x);
  t *=
    1.87595182427177 +
    r * (-1.8849797954337717 + r * 1.6214297201053545) +
    r * r * r * (-0.758397934778766 + r * 0.14599619288661245);
  // To 23 bits, away from zero.
  const bottom = low(t);
  const carries = bottom >= 0x80000000 ? 1 : 0;
  t = fromWords(high(t) + carries, (bottom + 0x80000000) & 0xc0000000);
  r = x / (t * t);
  r = (r - t) / (t + t + r);
  return t + t * r;
};

export const functions = { sin, cos, tan, atan, atan2, asin, acos, exp, log, cbrt } as const;
