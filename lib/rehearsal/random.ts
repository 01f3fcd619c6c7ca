/** The rehearsal's own randomness: every number follows from the seed and the name of its stream, so that a new use never shifts an old one. */
export interface Random {
  /** Uniform in [0, 1). */
  next(): number;
  /** Normal, mean 0, standard deviation 1 (Box and Muller's polar form as Marsaglia gave it, from memory). */
  gauss(): number;
}

/** FNV-1a hash of a text, 32 bits. */
function hash32(text: string): number {
  let h = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193);
  return h >>> 0;
}

/** sfc32 (small fast counter, 128 bits of state; published construction, from memory), warmed up by 15 turns. */
export function makeRandom(seed: number, stream: string): Random {
  let a = seed | 0, b = Math.floor(seed / 4294967296) | 0, c = hash32(stream) | 0, d = 1;
  function turn(): number {
    const t = (a + b + d) | 0;
    d = (d + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = ((c << 21) | (c >>> 11)) + t | 0;
    return t >>> 0;
  }
  for (let i = 0; i < 15; i++) turn();
  const next = (): number => turn() / 4294967296;
  let spare = Number.NaN;
  function gauss(): number {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    for (;;) {
      const x = 2 * next() - 1, y = 2 * next() - 1, r = x * x + y * y;
      if (r >= 1 || r === 0) continue;
      const k = Math.sqrt(-2 * Math.log(r) / r);
      spare = y * k;
      return x * k;
    }
  }
  return { next, gauss };
}

/** A smooth random function of arc length (or time): five sines of random phase, wavelengths 0.6 to 2.4 times `scale`, root mean square 1. */
export function smoothNoise(random: Random, scale: number): (at: number) => number {
  const waves = [2.4, 1.7, 1.2, 0.85, 0.6].map((length) => ({ k: 2 * Math.PI / (length * scale * (0.9 + 0.2 * random.next())), phase: 2 * Math.PI * random.next() }));
  return (at) => {
    let sum = 0;
    for (const wave of waves) sum += Math.sin(wave.k * at + wave.phase);
    return sum * Math.sqrt(2 / waves.length);
  };
}
