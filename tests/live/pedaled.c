/* SPDX-License-Identifier: MIT */
/*
 * pedaled: holdfast with a MIDI device that a test plays: a pipe named by HOLDFAST_TEST_MIDI, three
 * bytes a message; when its writer closes it, the device is unplugged. For systems without a MIDI
 * sequencer; the Makefile links it from the program's own objects, with --wrap for the one function
 * that gives it PortMidi.
 */
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

#include <holdfast/midi_in.h>

const struct hf_midi_system *__wrap_hf_midi_portmidi(void);

static int pipe_end = -1;

static int count(void *self)
{
    (void)self;
    return 2;
}

static bool name(void *self, int index, char out[HF_MIDI_NAME])
{
    (void)self;
    snprintf(out, HF_MIDI_NAME, "%s", index == 0 ? "Other keys" : "Foot pedal");
    return true;
}

static bool open_pipe(void *self, int index)
{
    (void)self;
    const char *path = getenv("HOLDFAST_TEST_MIDI");
    pipe_end = path && index == 1 ? open(path, O_RDONLY) : -1; /* waits for the test */
    return pipe_end >= 0 && fcntl(pipe_end, F_SETFL, O_NONBLOCK) == 0;
}

static int read_message(void *self, struct hf_midi_message *out)
{
    (void)self;
    unsigned char bytes[3];
    ssize_t got = read(pipe_end, bytes, sizeof bytes);
    if (got == 0)
        return -1;
    if (got != (ssize_t)sizeof bytes)
        return 0;
    *out = (struct hf_midi_message){bytes[0], bytes[1], bytes[2]};
    return 1;
}

static void close_pipe(void *self)
{
    (void)self;
    if (pipe_end >= 0)
        close(pipe_end);
}

const struct hf_midi_system *__wrap_hf_midi_portmidi(void)
{
    static const struct hf_midi_system system = {count,        name,       open_pipe,
                                                 read_message, close_pipe, NULL};
    return &system;
}
