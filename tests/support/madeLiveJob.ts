/** The smallest job that a run over the wire can have, with its plan: one strand of 6 mm. */
export const JOB = {
  contract: "aslaid/1", name: "one strand", plan: { file: "plan.csv" }, stationSpacingMm: 0.5, nozzle: { innerDiameterMm: 0.84, outerDiameterMm: 1.27, coneAngleDeg: 20 }, material: { name: "paste", beadShape: "stadium" },
  devices: [{ id: "profiler-1", kind: "profiler", points: 32, x0Mm: -1.55, dxMm: 0.1, sigmaZMm: 0.005 }],
};
export const PLAN = "layer,strand,x_mm,y_mm,z_mm,nx,ny,nz,width_mm,height_mm,speed_mm_s,flow_mm3_s\n1,1,0,0,0.5,0,0,1,1.0,0.5,6,\n1,1,6,0,0.5,0,0,1,1.0,0.5,6,\n";
