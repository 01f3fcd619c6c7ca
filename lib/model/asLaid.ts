/** The measured top surface of a strand as rows of vertices: what the mesh, its deviations and the report's section are made of. */

/** One profile's section of a strand, resampled to the strand's lateral lattice. */
export interface AsLaidRow {
  readonly layer: number;
  readonly strand: number;
  /** The first and the last station that it stands for, from 0: stations that lie nearest to one profile share its row. */
  readonly station: number;
  readonly lastStation: number;
  /** Where the profile's plane cuts the plan along the strand, mm. */
  readonly sMm: number;
  readonly slant: { readonly perB: number; readonly perN: number };
  /** Height over the planned base at each node of the lattice, mm; NaN: no vertex. */
  readonly nMm: Float64Array; // Float64Array[node]
  /** 1: the surface was seen without a gap from the node before to this one. */
  readonly joined: Uint8Array; // Uint8Array[node]
}

/** Where the nodes of a strand's rows lie: node k at firstMm + k · cellMm, lateral, + to the left of travel. */
export interface AsLaidLattice { readonly firstMm: number; readonly cellMm: number; readonly count: number }

/** Vertices of one row. Place in `plan`, deviation in mm from the planned top (formula/beadTop.ts); the arrays are filled anew from row to row. */
export interface AsLaidVertices {
  readonly count: number;
  readonly xyzMm: Float64Array; // Float64Array[3 · vertex]
  readonly deviationMm: Float64Array; // Float64Array[vertex]
  readonly sMm: Float64Array; // Float64Array[vertex]
  /** Node of each vertex. */
  readonly node: Uint16Array; // Uint16Array[vertex]
}
