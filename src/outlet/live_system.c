/* SPDX-License-Identifier: MIT */
/* Invariant: after every function stderr, the signal mask and the backends' handlers are as a
 * caller expects them: stderr open as before, SIGPIPE unblocked as before, ALSA and JACK silent.
 *
 * Two means keep the backends quiet, since neither does alone. Without a device they and PortAudio
 * write some hundred lines while they look for one: stderr leads nowhere for the time of such a
 * call, which catches all of them, whoever writes. Later ALSA and JACK may write from threads of
 * their own, when stderr is the player's again: handlers that do nothing are set for them, found by
 * name, since a system may have neither library. */
#include "live_system.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

#include <holdfast/signals.h>

static int replace(int descriptor, int by)
{
    int result;
    do
        result = dup2(by, descriptor);
    while (result < 0 && errno == EINTR);
    return result;
}

static atomic_bool hushed;

struct hf_live_hush hf_live_hush_begin(void)
{
    if (atomic_exchange(&hushed, true))
        return (struct hf_live_hush){-1}; /* whoever did it ends it */
    struct hf_live_hush hush = {fcntl(STDERR_FILENO, F_DUPFD_CLOEXEC, STDERR_FILENO + 1)};
    int nowhere = open("/dev/null", O_WRONLY | O_CLOEXEC);
    if (hush.saved >= 0 && (nowhere < 0 || replace(STDERR_FILENO, nowhere) < 0)) {
        close(hush.saved);
        hush.saved = -1;
    }
    if (nowhere >= 0)
        close(nowhere);
    if (hush.saved < 0)
        atomic_store(&hushed, false);
    return hush;
}

void hf_live_hush_end(struct hf_live_hush hush)
{
    if (hush.saved < 0)
        return;
    replace(STDERR_FILENO, hush.saved);
    close(hush.saved);
    atomic_store(&hushed, false);
}

typedef void alsa_handler(const char *, int, const char *, int, const char *, ...);
typedef void jack_handler(const char *);

static void ignore_alsa(const char *file, int line, const char *function, int error,
                        const char *format, ...)
{
    (void)file, (void)line, (void)function, (void)error, (void)format;
}

static void ignore_jack(const char *message)
{
    (void)message;
}

static void set_handlers(void)
{
    int (*set_alsa)(alsa_handler *) = NULL;
    void (*set_jack)(jack_handler *) = NULL;
    void *program = dlopen(NULL, RTLD_LAZY);
    if (!program)
        return;
    void *found = dlsym(program, "snd_lib_error_set_handler");
    memcpy(&set_alsa, &found, sizeof set_alsa);
    if (set_alsa)
        set_alsa(ignore_alsa);
    static const char *const names[] = {"jack_set_error_function", "jack_set_info_function"};
    for (int i = 0; i < 2; i++) {
        found = dlsym(program, names[i]);
        memcpy(&set_jack, &found, sizeof set_jack);
        if (set_jack)
            set_jack(ignore_jack);
    }
    dlclose(program);
}

const char *hf_live_system_text(PaError error)
{
    const PaHostErrorInfo *host = Pa_GetLastHostErrorInfo();
    if (error == paUnanticipatedHostError && host && host->errorText && host->errorText[0])
        return host->errorText;
    return Pa_GetErrorText(error);
}

enum hf_status hf_live_system_start(struct hf_diag *diag)
{
    sigset_t mask;
    struct hf_live_hush hush = hf_live_hush_begin();
    set_handlers();
    hf_signals_hold(&mask);
    PaError error = Pa_Initialize();
    hf_signals_let(&mask); /* JACK leaves SIGPIPE blocked */
    hf_live_hush_end(hush);
    if (error != paNoError)
        return hf_fail(diag, HF_E_DEVICE, "the sound system can't be started: %s",
                       hf_live_system_text(error));
    return HF_OK;
}

void hf_live_system_stop(void)
{
    struct hf_live_hush hush = hf_live_hush_begin();
    Pa_Terminate();
    hf_live_hush_end(hush);
}
