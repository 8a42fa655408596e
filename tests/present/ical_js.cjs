// Reads calendar files with ical.js: one file as JSON a line, and an answer a line.
"use strict";

const ICAL = require("ical.js");
const { createInterface } = require("node:readline");

ICAL.design.strict = true;

function needed(component, name) {
  const found = component.getFirstPropertyValue(name);
  if (found === null) throw new Error(`${component.name} without ${name}`);
  return found;
}

function moment(time) {
  return time.isDate ? time.toString() : new Date(time.toUnixTime() * 1000).toISOString();
}

function read(text) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  if (calendar.name !== "vcalendar") throw new Error(`${calendar.name} is no calendar`);
  ICAL.TimezoneService.reset();
  calendar.getAllSubcomponents("vtimezone").forEach((zone) => ICAL.TimezoneService.register(zone));
  const entry = (component, names) => [
    needed(component, "uid"),
    ...names.map((name) => {
      const value = needed(component, name);
      return value instanceof ICAL.Time ? moment(value) : value;
    }),
  ];
  const all = (kind, names) => calendar.getAllSubcomponents(kind).map((one) => entry(one, names));
  return {
    VEVENT: all("vevent", ["dtstart", "dtend", "summary", "description"]),
    VTODO: all("vtodo", ["due", "status", "summary", "description"]),
  };
}

createInterface({ input: process.stdin }).on("line", (line) => {
  let answer;
  try {
    answer = read(JSON.parse(line));
  } catch (error) {
    answer = { error: String(error) };
  }
  process.stdout.write(`${JSON.stringify(answer)}\n`);
});
