/** A line on the terminal that says what takes so long. The work blocks the thread, so another one writes it. */
import { writeSync } from 'node:fs';
import { Worker } from 'node:worker_threads';
import type { Stream } from './io.js';

export interface Progress {
  /** Names what is done from here on. */
  readonly step: (text: string) => void;
  /** Takes the line away; nothing is written after that. */
  readonly end: () => Promise<void>;
}

/** Nobody needs to be told of less, ms. */
const patience = 1000;
const eraseLine = '\r\u001b[2K';

/** Progress on a terminal; nothing anywhere else, nor where a program reads the answer. */
export const startProgress = (stream: Stream, silent = false): Progress => {
  const { fd } = stream;
  if (silent || !stream.isTTY || fd === undefined) return { step: () => {}, end: async () => {} };
  const worker = new Worker(writer, { eval: true, workerData: { fd, patience, eraseLine } });
  worker.unref();
  // A terminal that went away takes nothing but the progress with it.
  worker.on('error', () => {});
  const start = Date.now();
  return {
    step: (text) => worker.postMessage(text.slice(0, 60)),
    end: async () => {
      const gone = worker.terminate();
      // Before that it has not written, and will not.
      if (Date.now() - start < patience) return;
      await gone;
      writeSync(fd, eraseLine);
    },
  };
};

const writer = `
const { writeSync } = require('node:fs');
const { parentPort, workerData } = require('node:worker_threads');
const { fd, patience, eraseLine } = workerData;
const start = Date.now();
let text = '';
parentPort.on('message', (next) => { text = next; });
setTimeout(() => setInterval(() => {
  const seconds = Math.round((Date.now() - start) / 1000);
  writeSync(fd, eraseLine + text + ' ... ' + seconds + ' s');
}, 250), patience);
`;
