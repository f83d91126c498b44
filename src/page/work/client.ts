/** The worker that works jobs out, seen from the sheet. */
import type { Answered, Files, Question } from './answers.js';

/** ms: a job that has been typed over may work on for so long; then it is ended with its worker, and another one goes on. */
const patience = 250;

export class Client {
  private worker: Worker | undefined;
  private url: string | undefined;
  private number = 0;
  private files: Files | undefined;
  private sent: Files | undefined;
  private jobNumber = 0;
  private busyWith: number | undefined;
  private ending: ReturnType<typeof setTimeout> | undefined;
  private held: { question: Question; number: number }[] = [];
  private readonly open = new Map<number, (answer: Answered) => void>();

  constructor(
    private readonly onJob: (answer: Answered) => void,
    private readonly onMistake: (message: string) => void,
  ) {}

  /** Unpacks the core that came with the page. */
  async start(packed: string): Promise<void> {
    const bytes = Uint8Array.from(atob(packed), (c) => c.charCodeAt(0));
    const unpacked = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('gzip'));
    const code = await new Response(unpacked).blob();
    this.url = URL.createObjectURL(new Blob([code], { type: 'text/javascript' }));
    this.begin();
    for (const { question, number } of this.held.splice(0)) this.post(question, number);
  }

  private begin(): void {
    this.worker = new Worker(this.url!);
    this.sent = undefined;
    this.worker.onmessage = ({ data }: MessageEvent<Answered>) => this.take(data);
    this.worker.onerror = ({ message }) => this.onMistake(message);
  }

  private take(answer: Answered): void {
    const { number } = answer;
    if (answer.stage === 'mistake') {
      this.onMistake(answer.message);
      return;
    }
    if (answer.stage === 'done' && this.busyWith === number)
      this.busyWith = this.jobNumber === number ? undefined : this.jobNumber;
    const own = this.open.get(number);
    if (own !== undefined) {
      own(answer);
      if (answer.stage === 'done') this.open.delete(number);
    } else if (number === this.jobNumber) this.onJob(answer);
  }

  /** Of a job that is asked again only the newest is answered. */
  askJob(path: string, text: string, files: Files): void {
    this.files = files;
    this.jobNumber = ++this.number;
    this.post({ kind: 'job', path, text }, this.jobNumber);
    clearTimeout(this.ending);
    if (this.busyWith === undefined || this.worker === undefined) {
      this.busyWith = this.jobNumber;
      return;
    }
    this.ending = setTimeout(() => {
      if (this.busyWith === undefined || this.busyWith === this.jobNumber) return;
      this.worker?.terminate();
      this.open.clear();
      this.begin();
      this.busyWith = this.jobNumber;
      this.post({ kind: 'job', path, text }, this.jobNumber);
    }, patience);
  }

  /** Everything that is answered to it, until it is done. */
  ask(question: Question, onAnswer: (answer: Answered) => void): void {
    const number = ++this.number;
    this.open.set(number, onAnswer);
    this.post(question, number);
  }

  /** The same with the files that it needs, whether or not there is a job. */
  askBeside(files: Files, question: Question, onAnswer: (answer: Answered) => void): void {
    this.files = files;
    this.ask(question, onAnswer);
  }

  private post(question: Question, number: number): void {
    if (this.worker === undefined) {
      this.held.push({ question, number });
      return;
    }
    const isNew = this.files !== this.sent && this.files !== undefined;
    this.worker.postMessage({ ...question, number, ...(isNew ? { files: this.files } : {}) });
    this.sent = this.files;
  }
}
