/* SPDX-License-Identifier: MIT */
/*
 * live_system: what live.c and live_list.c share: PortAudio started without its backends' noise,
 * and the choice of an output by name.
 *
 * Nothing is owned by the caller but the start, to be ended by hf_live_system_stop. The thread that
 * opens the output only; while the backends are kept quiet, no other thread should write to stderr.
 */
#ifndef HOLDFAST_LIVE_SYSTEM_H
#define HOLDFAST_LIVE_SYSTEM_H

#include <portaudio.h>

#include <holdfast/live.h>

/* Where stderr went meanwhile; -1 when it could not be kept quiet. */
struct hf_live_hush {
    int saved;
};

/* Between these two, what is written to stderr is dropped, whichever thread writes it. Within
 * another such pair they do nothing. */
struct hf_live_hush hf_live_hush_begin(void);
void hf_live_hush_end(struct hf_live_hush hush);

/* Gives PortAudio's part for JACK a cycle in place of a server that is gone; without JACK nothing.
 * Only while a stream is being closed for which the server has no cycle any more. */
void hf_live_jack_cycle(void);

/* Starts the sound system. HF_E_DEVICE when it can't be started. */
enum hf_status hf_live_system_start(struct hf_diag *diag) HF_CHECKED;

/* Ends it again; after a device is lost this may hang. */
void hf_live_system_stop(void);

/* PortAudio's words for an error, the host's own where it has some. */
const char *hf_live_system_text(PaError error);

/* The output that `name` means (NULL = the default); errors as hf_live_open. */
enum hf_status hf_live_choose(const char *name, PaDeviceIndex *out,
                              struct hf_diag *diag) HF_CHECKED;

/* The name of an output as it is shown and asked for. */
void hf_live_name_of(PaDeviceIndex device, char name[HF_LIVE_NAME_LENGTH]);

/* The same with its host before it. */
void hf_live_address_of(PaDeviceIndex device, char address[HF_LIVE_ADDRESS]);

/* Stereo, or what comes nearest to it on this output. */
PaStreamParameters hf_live_parameters(PaDeviceIndex device, double latency_s);

/* The common rates that the output opens, in ascending order; at most HF_LIVE_MOST_RATES. */
int hf_live_rates(PaDeviceIndex device, int *rates_hz);

#endif
