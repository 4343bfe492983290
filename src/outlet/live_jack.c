/* SPDX-License-Identifier: MIT */
/* Invariant: as long as no server has been found gone, every call goes on to JACK and its answer
 * comes back, so that nothing here is noticed.
 *
 * PortAudio's part for JACK (19.6) waits for the server's next cycle when a stream is closed, for
 * ten minutes where there is no server any more, and ends the program where JACK then refuses a
 * call. Neither leaves a way to open the output again in this process. PortAudio finds these
 * functions of JACK in the program before it finds JACK's own: so the cycle that it waits for can
 * be given to it (hf_live_jack_cycle), and what a dead server refuses is taken for done. */
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
static atomic_bool gone;

static bool find(const char *name, void *function, size_t size)
{
    void *found = dlsym(RTLD_NEXT, name);
    memcpy(function, &found, size);
    return found != NULL;
}

static int answer(int real)
{
    return atomic_load(&gone) ? 0 : real;
}

int jack_set_process_callback(void *client, jack_process *process, void *argument)
{
    int (*real)(void *, jack_process *, void *);
    atomic_store(&argument_of_portaudio, argument);
    atomic_store(&process_of_portaudio, process);
    atomic_store(&gone, false);
    return find("jack_set_process_callback", &real, sizeof real) ? real(client, process, argument)
                                                                 : -1;
}

int jack_port_unregister(void *client, void *port)
{
    int (*real)(void *, void *);
    return answer(find("jack_port_unregister", &real, sizeof real) ? real(client, port) : -1);
}

int jack_port_disconnect(void *client, void *port)
{
    int (*real)(void *, void *);
    return answer(find("jack_port_disconnect", &real, sizeof real) ? real(client, port) : -1);
}

int jack_deactivate(void *client)
{
    int (*real)(void *);
    return answer(find("jack_deactivate", &real, sizeof real) ? real(client) : -1);
}

int jack_client_close(void *client)
{
    int (*real)(void *);
    atomic_store(&process_of_portaudio, NULL);
    return answer(find("jack_client_close", &real, sizeof real) ? real(client) : -1);
}

void hf_live_jack_cycle(void)
{
    jack_process *process = atomic_load(&process_of_portaudio);
    if (!process)
        return;
    atomic_store(&gone, true);
    process(FRAMES, atomic_load(&argument_of_portaudio));
}
