/** Thins a line to what a picture of it can show: in each bucket along x the lowest and the highest point, in their order. */

export interface ThinSettings {
  /** Index range [from, to) of the line. */
  readonly from: number;
  readonly to: number;
  /** Width of a bucket in units of x, > 0; buckets stand on multiples of it, so that they do not swim while a view moves. */
  readonly step: number;
}

/**
 * Runs of adjacent values that are there (NaN ends a run), each as ascending indices: at most two a bucket, so that no peak is lost
 * and none is made. Ends of a run are kept. `xs`, `values`: Float32Array or Float64Array of one length, xs ascending.
 */
export function extremeRuns(xs: ArrayLike<number>, values: ArrayLike<number>, { from, to, step }: ThinSettings): number[][] {
  const runs: number[][] = [];
  let run: number[] | null = null;
  let bucket = Number.NaN;
  let low = -1, high = -1, last = -1;
  const flush = (): void => {
    if (run === null || low < 0) return;
    const first = Math.min(low, high), second = Math.max(low, high);
    if (run[run.length - 1] !== first) run.push(first);
    if (second !== first) run.push(second);
  };
  const end = (): void => {
    flush();
    if (run !== null && run[run.length - 1] !== last) run.push(last);
    run = null;
    low = high = -1;
  };
  for (let i = from; i < to; i++) {
    const value = values[i] as number;
    if (Number.isNaN(value)) {
      end();
      continue;
    }
    const here = Math.floor((xs[i] as number) / step);
    if (run === null) {
      run = [i];
      runs.push(run);
      bucket = here;
      low = high = i;
    } else if (here !== bucket) {
      flush();
      bucket = here;
      low = high = i;
    } else {
      if (value < (values[low] as number)) low = i;
      if (value > (values[high] as number)) high = i;
    }
    last = i;
  }
  end();
  return runs;
}

/** First index whose x is at least `x`, in an ascending line; its length where none is. */
export function firstAtLeast(xs: ArrayLike<number>, x: number): number {
  let low = 0, high = xs.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((xs[middle] as number) < x) low = middle + 1;
    else high = middle;
  }
  return low;
}
