/* SPDX-License-Identifier: MIT */
/* Usage: spawn N PROGRAM ARGUMENT... - runs the program N times, its output thrown away, and prints
 * the processor time of one run in milliseconds. With no arguments it does nothing, which is what a
 * program costs that is only linked with the same libraries. */
#include <fcntl.h>
#include <spawn.h>
#include <stdio.h>
#include <sys/resource.h>
#include <sys/time.h>
#include <sys/wait.h>

#include <jansson.h>
#include <portaudio.h>
#include <sndfile.h>

#include <holdfast/number.h>

#include <string.h>

extern char **environ;

/* Keeps the libraries linked: what is called must be there. */
int (*const keep_portaudio)(void) = Pa_GetVersion;
const char *(*const keep_sndfile)(void) = sf_version_string;
json_t *(*const keep_jansson)(void) = json_object;

static double milliseconds(struct timeval time)
{
    return (double)time.tv_sec * 1e3 + (double)time.tv_usec / 1e3;
}

static int run_once(char **argv, posix_spawn_file_actions_t *actions)
{
    pid_t child;
    int status = 0;
    if (posix_spawn(&child, argv[0], actions, NULL, argv, environ) != 0)
        return 1;
    return waitpid(child, &status, 0) != child || status != 0;
}

int main(int argc, char **argv)
{
    long runs = 0;
    struct rusage usage;
    posix_spawn_file_actions_t actions;
    if (argc < 3)
        return 0;
    if (hf_number_whole(argv[1], strlen(argv[1]), 1, 100000, &runs) != HF_NUMBER_FINE)
        return 64;
    posix_spawn_file_actions_init(&actions);
    posix_spawn_file_actions_addopen(&actions, 1, "/dev/null", O_WRONLY, 0);
    for (long i = 0; i < runs; i++)
        if (run_once(argv + 2, &actions)) {
            fprintf(stderr, "spawn: %s failed\n", argv[2]);
            return 1;
        }
    getrusage(RUSAGE_CHILDREN, &usage);
    printf("%.3f\n", (milliseconds(usage.ru_utime) + milliseconds(usage.ru_stime)) / (double)runs);
    return 0;
}
