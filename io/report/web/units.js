"use strict";
// Lengths are mm everywhere; only what is shown is in the reader's unit.

const unit = { name: "mm", listeners: [] };

function setUnit(name) {
  unit.name = name;
  for (const f of unit.listeners) f();
}

// Text made by `make` follows the unit.
function live(element, make) {
  const update = () => { element.textContent = make(); };
  unit.listeners.push(update);
  update();
  return element;
}

// As the text report rounds: a value just between two goes to the even one.
function trimmed(value, decimals) {
  const scaled = value * 10 ** decimals;
  if (Math.abs(scaled % 1) === 0.5 && Number.isInteger(value * 65536)) value = 2 * Math.round(scaled / 2) / 10 ** decimals;
  const text = value.toFixed(decimals);
  return Number(text) === 0 ? (0).toFixed(decimals) : text;
}

// 3.550 mm or 0.1398 in: to about the same fineness.
function length(mm, decimals = 3) {
  if (mm === null || mm === undefined) return "-";
  return unit.name === "mm" ? `${trimmed(mm, decimals)} mm` : `${trimmed(mm / 25.4, decimals + 1)} in`;
}

function volume(mm3) {
  return unit.name === "mm" ? `${trimmed(mm3, 1)} mm³` : `${trimmed(mm3 / 16387.064, 4)} in³`;
}

// Text of the program that gives both units, in the reader's alone.
function inUnit(text) {
  return text.replace(/(-?\d+(?:\.\d+)?) (mm|in) \((-?\d+(?:\.\d+)?) (mm|in)\)/g,
    (_, first, its, second) => `${its === unit.name ? first : second} ${unit.name}`);
}

function speed(metresPerSecond) {
  return unit.name === "mm" ? trimmed(metresPerSecond, 1) : String(Math.round(metresPerSecond * 60 / 0.3048));
}

function feed(mmPerMin) {
  if (!mmPerMin) return "not told";
  return unit.name === "mm" ? `${Math.round(mmPerMin)} mm/min` : `${trimmed(mmPerMin / 25.4, 1)} in/min`;
}

function degrees(value, decimals = 1) {
  return value === null || value === undefined ? "-" : `${trimmed(value, decimals)}°`;
}

function place(x, y) {
  // Not to be broken within a number and its unit.
  return (unit.name === "mm" ? `x ${trimmed(x, 1)}, y ${trimmed(y, 1)} mm` : `x ${trimmed(x / 25.4, 2)}, y ${trimmed(y / 25.4, 2)} in`)
    .replace(/(\S) (?=[\d-]|mm|in)/g, "$1\u00a0").replace(/,\u00a0/, ", ");
}

// A round length for scale bars, at most `mm` long, in the reader's unit.
function roundLength(mm) {
  const scale = unit.name === "mm" ? 1 : 25.4;
  const v = mm / scale, ten = Math.pow(10, Math.floor(Math.log10(v)));
  const step = v / ten >= 5 ? 5 : v / ten >= 2 ? 2 : 1;
  const value = step * ten;
  return { mm: value * scale, text: `${Number(value.toPrecision(3))} ${unit.name === "mm" ? "mm" : "in"}` };
}
