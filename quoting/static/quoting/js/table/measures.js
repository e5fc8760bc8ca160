// Lengths as the studio writes them, and as every form takes them.
const INCH = 0.0254;

export function written(value, units) {
  const inches = Math.round(value / INCH);
  if (units !== "feet") return `${value.toFixed(2)} m`;
  const feet = Math.floor(inches / 12);
  return [feet ? `${feet} ft` : "", inches % 12 || !feet ? `${inches % 12} in` : ""].filter(Boolean).join(" ");
}

// A length as every form takes it, whatever the studio measures in.
export function metres(value) {
  return `${value < 0 ? "-" : ""}${Math.abs(value).toFixed(4)} m`;
}

// A name in the middle of a sentence.
export function inner(label) { return label.slice(0, 1).toLowerCase() + label.slice(1); }
