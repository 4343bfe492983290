/* SPDX-License-Identifier: MIT */
/*
 * crashing: holdfast that aborts on its audio thread after CRASH_AFTER frames, and is given a
 * moment between what it does about that and its end, in which its other threads go on. The
 * Makefile links it from the program's own objects, with --wrap for these calls.
 */
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <holdfast/engine.h>
#include <holdfast/number.h>

int __real_raise(int number);
int __wrap_raise(int number);
long __real_hf_engine_render(struct hf_engine *engine, long frames, float *out);
long __wrap_hf_engine_render(struct hf_engine *engine, long frames, float *out);

long __wrap_hf_engine_render(struct hf_engine *engine, long frames, float *out)
{
    static long done;
    const char *text = getenv("CRASH_AFTER");
    long after = 0;
    done += frames;
    if (!text || hf_number_whole(text, strlen(text), 0, 1 << 30, &after) != HF_NUMBER_FINE ||
        done > after)
        abort();
    return __real_hf_engine_render(engine, frames, out);
}

int __wrap_raise(int number)
{
    nanosleep(&(struct timespec){.tv_nsec = 200000000}, NULL);
    return __real_raise(number);
}
