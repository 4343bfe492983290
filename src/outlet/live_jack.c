/* SPDX-License-Identifier: MIT */
/* Invariants: calls go on to JACK; what it answers where something is taken down is said to have
 * been done, since nothing follows from it but the end of the program; of JACK's thread and of what
 * stands in for it one at most is in PortAudio's part.
 *
 * PortAudio's part for JACK (19.6) waits for the server's next cycle when a stream is closed, for
 * ten minutes where none comes any more, and ends the program where JACK refuses to take something
 * down: after its server is gone, or has thrown this client out. Neither leaves a way to open the
 * output again in this process. PortAudio finds these functions of JACK in the program before it
 * finds JACK's own: so the cycle that it waits for can be given to it (hf_live_jack_cycle), and a
 * refusal be kept from it. */
#define _GNU_SOURCE /* RTLD_NEXT */
#include "live_system.h"

#include <dlfcn.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

typedef int jack_process(uint32_t frames, void *argument);

int jack_set_process_callback(void *client, jack_process *process, void *argument);
int jack_port_unregister(void *client, void *port);
int jack_port_disconnect(void *client, void *port);
int jack_deactivate(void *client);
int jack_client_close(void *client);

enum { FRAMES = 64 };

static _Atomic(jack_process *) process_of_portaudio;
static _Atomic(void *) argument_of_portaudio;
static atomic_flag inside = ATOMIC_FLAG_INIT;

static bool find(const char *name, void *function, size_t size)
{
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(function, &found, size);
    return found != NULL;
}

/* Real-time safe. A cycle that finds another one at work is left out: that is for a stream that is
 * being closed. */
static int cycle(uint32_t frames, void *unused)
{
    (void)unused;
    jack_process *process = atomic_load(&process_of_portaudio);
    if (!process || atomic_flag_test_and_set(&inside))
        return 0;
    int result = process(frames, atomic_load(&argument_of_portaudio));
    atomic_flag_clear(&inside);
    return result;
}

int jack_set_process_callback(void *client, jack_process *process, void *argument)
{
    int (*real)(void *, jack_process *, void *);
    atomic_store(&argument_of_portaudio, argument);
    atomic_store(&process_of_portaudio, process);
    return find("jack_set_process_callback", &real, sizeof real) ? real(client, cycle, NULL) : -1;
}

int jack_port_unregister(void *client, void *port)
{
    int (*real)(void *, void *);
    if (find("jack_port_unregister", &real, sizeof real))
        (void)real(client, port);
    return 0;
}

int jack_port_disconnect(void *client, void *port)
{
    int (*real)(void *, void *);
    if (find("jack_port_disconnect", &real, sizeof real))
        (void)real(client, port);
    return 0;
}

int jack_deactivate(void *client)
{
    int (*real)(void *);
    if (find("jack_deactivate", &real, sizeof real))
        (void)real(client);
    return 0;
}

int jack_client_close(void *client)
{
    int (*real)(void *);
    atomic_store(&process_of_portaudio, NULL);
    if (find("jack_client_close", &real, sizeof real))
        (void)real(client);
    return 0;
}

void hf_live_jack_cycle(void)
{
    (void)cycle(FRAMES, NULL);
}
