// node tests/bench/first-check.mjs: the first call in a fresh process for the risk of 200 openings with
// 20,000 edge vertices, and of twice and four times as many: the least of nine in turn, beside a plain loop of the same
// process, because other work on the machine slows both.
import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';

const here = (path) => fileURLToPath(new URL(path, import.meta.url));
const outDir = here('../../node_modules/.cache/bench');

const bundle = async () => {
  const { build } = await import('vite');
  await build({
    configFile: false,
    root: here('../..'),
    logLevel: 'error',
    build: {
      outDir,
      emptyOutDir: true,
      target: 'node20',
      minify: false,
      ssr: true,
      rollupOptions: { input: here('./first-check-parts.ts'), output: { entryFileNames: 'parts.mjs' } },
    },
    ssr: { noExternal: true },
  });
};

const child = async (count, what) => {
  const { adjust, assessRisk, checkFit, errorField, placedEdges } = await import(`${outDir}/parts.mjs`);
  const marks = [
    [20, 20],
    [580, 380],
    [580, 20],
    [20, 380],
  ];
  const observations = marks.map(([x, y], i) => ({
    mark: 'ABCD'[i],
    design: { x, y },
    readings: [{ x: 300 + 0.8 * x - 0.6 * y, y: 120 + 0.6 * x + 0.8 * y }],
  }));
  const options = { model: 'rigid', readingSd: 0.1, markSd: 0 };
  const { fit } = adjust(observations, options);
  const openings = Array.from({ length: count }, (_, i) => {
    const points = Array.from({ length: 100 }, (_, k) => {
      const angle = (2 * Math.PI * k) / 100;
      const radius = 10 * (1 + 0.2 * Math.cos(5 * angle));
      return {
        x: 20 + 28 * (i % 20) + radius * Math.cos(angle),
        y: 30 + 35 * Math.floor(i / 20) + radius * Math.sin(angle),
      };
    });
    const segments = points.map((from, k) => ({ kind: 'line', from, to: points[(k + 1) % 100] }));
    return {
      id: `bloom ${i}`,
      named: true,
      layers: ['openings'],
      element: 'path',
      paths: [{ closed: true, segments }],
    };
  });
  const check = { acceptedRisk: 0.05, cutSd: 0.03, kerfSd: 0.02 };
  const corners = { kind: 'opening', corners: 'mitre', mitreLimit: 4 };
  const tools = { beam: 0.06, piercing: 0, clearance: 0.5 };
  const edges = what === 'risk' ? placedEdges(openings, fit.matrix, { ...corners, pierced: 0, tools }) : [];
  const before = performance.now();
  if (what === 'risk') {
    assessRisk({ edges, field: errorField(fit, check), clearance: 0.5, acceptedRisk: 0.05 });
  } else {
    const cut = { ...corners, clearance: 0.5, kerf: 0.12, apply: 'full' };
    const pierced = { kerf: 0, compensated: true };
    checkFit({ fit, observations, options, openings, face: 'up', pierced, cut, check });
  }
  const took = performance.now() - before;
  const start = performance.now();
  let sum = 0;
  for (let i = 0; i < 2e7; i++) sum += Math.sqrt(i);
  console.log(took, performance.now() - start, sum > 0);
};

if (process.argv[2] === undefined) {
  await bundle();
  for (const what of ['risk', 'check']) {
    for (const count of [200, 400, 800]) {
      let least = Number.POSITIVE_INFINITY;
      let loop = Number.POSITIVE_INFINITY;
      for (let i = 0; i < 9; i++) {
        const { stdout } = spawnSync(process.execPath, [fileURLToPath(import.meta.url), String(count), what]);
        const [took, yardstick] = String(stdout).split(' ').map(Number);
        least = Math.min(least, took);
        loop = Math.min(loop, yardstick);
      }
      const ratio = (least / loop).toFixed(1);
      console.log(`${what}, ${count} openings: ${least.toFixed(0)} ms, ${ratio} of the plain loop's`);
    }
  }
} else await child(Number(process.argv[2]), process.argv[3]);
