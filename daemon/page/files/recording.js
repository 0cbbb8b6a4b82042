// Is it being recorded?
import {byId, setHidden, setText} from './dom.js';
import {ask} from './link.js';
import {car} from './car.js';
import {count, lasting} from './words.js';

let sureUntil = 0;

function size(bytes) {
  return bytes < 1e6 ? Math.ceil(bytes / 1e3) + ' kB' : (bytes / 1e6).toFixed(1) + ' MB';
}

function detail(recording) {
  return count(recording.frames, 'frame') + ', ' + size(recording.bytes) + ', '
    + (recording.dropped === 0 ? 'none lost' : count(recording.dropped, 'frame') + ' lost')
    + ' · ' + recording.path
    + (recording.paused ? ' · paused, frames are lost: ' + recording.paused : '');
}

function lastWords(last) {
  if (!last) return 'Frames are decoded and shown, but not kept.';
  return 'Last: ' + last.name + ', ' + lasting(last.length_s) + ', ' + detail(last)
    + (last.problem ? ' · ended early: ' + last.problem : '');
}

export function showRecording() {
  const {recording, last_recording: last} = car.now;
  setHidden(byId('record-start'), recording !== null);
  setHidden(byId('record-stop'), recording === null);
  if (recording) {
    const line = recording.name + ', ' + lasting(recording.length_s)
      + (recording.paused ? ', paused' : '');
    setText(byId('recording-answer'), 'Yes: ' + line + '.');
    setText(byId('recording-detail'), detail(recording));
    setText(byId('strip-recording'), '● ' + line);
    setText(byId('mount-recording'), '● ' + lasting(recording.length_s));
  } else {
    setText(byId('recording-answer'), 'No.');
    setText(byId('recording-detail'), lastWords(last));
    setText(byId('strip-recording'), 'Not recording');
    setText(byId('mount-recording'), 'Not recording');
  }
  if (Date.now() > sureUntil) setHidden(byId('stop-sure'), true);
}

async function attempt(action) {
  const trouble = byId('recording-trouble');
  setText(trouble, '');
  try {
    await action();
  } catch (error) {
    setText(trouble, error.message || 'Sign in first.');
  }
}

export function setUpRecording() {
  byId('record-start').addEventListener('submit', (event) => {
    event.preventDefault();
    attempt(async () => {
      await ask('POST', '/api/record/start',
        {name: byId('record-name').value.trim(), stage: byId('record-stage').value});
      byId('record-name').value = '';
    });
  });
  // Two taps, so that a bump in the road does not end a recording.
  byId('stop').addEventListener('click', () => {
    sureUntil = Date.now() + 5000;
    setHidden(byId('stop-sure'), false);
  });
  byId('stop-sure').addEventListener('click', () => {
    sureUntil = 0;
    attempt(() => ask('POST', '/api/record/stop'));
  });
}
