// Sizes of photos in words.
import { say } from "../words.js";

/** 840 kB, 2.4 MB, 1.2 GB */
export function megabytes(bytes) {
  if (bytes < 1000) return say("{n} bytes", { n: bytes });
  if (bytes < 999_500) return `${Math.round(bytes / 1000)} kB`;
  if (bytes < 999_500_000) return `${(bytes / 1_000_000).toFixed(1)} MB`;
  return `${(bytes / 1_000_000_000).toFixed(1)} GB`;
}
