const LARGE = 1 << 22; // samples; a slab doubles up to here, so that a batch soon fits into one

/**
 * A stretch of float32 that profiles of one batch are written into one after another, so that no buffer is made per profile.
 * After `reset` it is written over: profiles of the batch before must not be read any more.
 */
export class FloatSlab {
  data = new Float32Array(1 << 18); // Float32Array[sample], of several profiles
  used = 0;

  reset(): void { this.used = 0; }

  /** Makes room for `count` more. What was handed out before stays valid. */
  reserve(count: number): void {
    if (this.used + count <= this.data.length) return;
    this.data = new Float32Array(Math.max(Math.min(2 * this.data.length, LARGE), 2 * count));
    this.used = 0;
  }
}
