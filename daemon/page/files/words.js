// Numbers and times in words.

export function count(number, noun) {
  return number.toLocaleString('en') + ' ' + noun + (number === 1 ? '' : 's');
}

// Seconds as "4 s", "3 min 05 s", "2 h 10 min".
export function lasting(seconds) {
  const whole = Math.max(0, Math.floor(seconds));
  if (whole < 180) return whole + ' s';
  const two = (number) => String(number).padStart(2, '0');
  if (whole < 3600) return Math.floor(whole / 60) + ' min ' + two(whole % 60) + ' s';
  if (whole < 86400) return Math.floor(whole / 3600) + ' h ' + two(Math.floor(whole / 60) % 60) + ' min';
  return Math.floor(whole / 86400) + ' d ' + Math.floor(whole / 3600) % 24 + ' h';
}

// Seconds since 1970 as the time of day here, "14:03:07".
export function timeOfDay(seconds) {
  const date = new Date(seconds * 1000);
  return [date.getHours(), date.getMinutes(), date.getSeconds()]
    .map((part) => String(part).padStart(2, '0')).join(':');
}

// How many decimals a signal's own step size calls for.
export function decimalsOf(signal) {
  if (signal.frame === '') return null;  // worked out from others: by size
  return Math.min(5, Math.max(0, Math.ceil(-Math.log10(signal.step || 1) - 1e-9)));
}

// Units as people write them; definition files keep to plain letters.
export const unitText = (unit) => unit.replace(/^deg(?=[CF]$)/, '°').replace(/^ohm/, 'Ω').replace(/^kohm/, 'kΩ')
  .replace(/^Mohm/, 'MΩ').replace(/m\/s2$/, 'm/s²');

export function number(value, decimals) {
  if (value === null || value === undefined) return '–';
  if (decimals !== null) return value.toFixed(decimals);
  if (Number.isInteger(value)) return String(value);
  const size = Math.abs(value);
  return value.toFixed(size >= 1000 ? 0 : size >= 100 ? 1 : size >= 1 ? 2 : 4);
}
