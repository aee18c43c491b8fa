"""What the checks of sound share: a WAV file as numbers, the pitch that aubio hears, General MIDI played by
FluidSynth. aubio (`aubiopitch`) and FluidSynth are Debian packages; numpy does the sums.
"""

import math
import statistics
import subprocess
import wave

import numpy

SOUND_FONT = "/usr/share/sounds/sf2/TimGM6mb.sf2"


def samples(path):
    """The samples of a 16-bit WAV file as numbers between -1 and 1, its first channel alone; and its rate."""
    with wave.open(path) as file:
        assert file.getsampwidth() == 2, path
        data = numpy.frombuffer(file.readframes(file.getnframes()), "<i2").astype(float) / 32768
        return data[:: file.getnchannels()], file.getframerate()


def heard(path, method, window):
    """The pitches that aubio hears, as (seconds, Hz); what it finds no pitch in is left out."""
    command = ["aubiopitch", "-i", path, "-p", method, "-B", str(window), "-H", "256"]
    out = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    rows = [tuple(map(float, line.split())) for line in out.splitlines()]
    return [(seconds, hertz) for seconds, hertz in rows if hertz > 0]


def hertz(key):
    """Equal temperament at A4 = 440 Hz (ISO 16)."""
    return 440 * 2 ** ((key - 69) / 12)


def cents_off(pitches, start, end, key):
    """How far the pitch heard between two moments lies from a MIDI key, in cents; none where none is heard."""
    inside = [pitch for seconds, pitch in pitches if start <= seconds <= end]
    return 1200 * math.log2(statistics.median(inside) / hertz(key)) if inside else None


def begins(data, rate, at, key):
    """Whether the lowest partials of a MIDI key are stronger after a moment than before it."""
    length = int(0.08 * rate)

    def strength(start):
        piece = data[max(start, 0) : max(start, 0) + length]
        if len(piece) < length:
            return 0
        turns = numpy.arange(length) / rate
        window = numpy.hanning(length)
        partials = [numpy.exp(-2j * numpy.pi * hertz(key) * number * turns) for number in (1, 2, 3, 4)]
        return sum(abs(numpy.dot(piece * window, partial)) ** 2 for partial in partials)

    middle = int(at * rate)
    return strength(middle + int(0.005 * rate)) > 1.1 * strength(middle - length - int(0.005 * rate))


def play(midi, to):
    """Plays a MIDI file into a WAV file by FluidSynth with a General MIDI sound font, without its room."""
    command = ["fluidsynth", "-q", "-n", "-i", "-R", "0", "-C", "0", "-r", "44100", "-F", to, SOUND_FONT, midi]
    subprocess.run(command, capture_output=True, check=True)
