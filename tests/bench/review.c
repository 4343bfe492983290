/* SPDX-License-Identifier: MIT */
/*
 * Usage: review make DIRECTORY JOURNALS RECORDS - writes journals of so many records each
 *        review cold|warm DIRECTORY - reads them without or with the index; prints milliseconds,
 *        the most memory in MiB, sessions and cues, processor
 *        milliseconds
 *        review strict DIRECTORY JOURNALS - reads so many of them by the strict reader alone;
 * prints processor milliseconds
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#include <holdfast/journal.h>
#include <holdfast/random.h>
#include <holdfast/review_files.h>
#include <holdfast/store.h>
#include <holdfast/voicing.h>

enum { RATE = 48000, EVERY = 20 * RATE, LINE = 512 };

static struct hf_crc32_tables tables;

static void fail(const char *what)
{
    fprintf(stderr, "%s\n", what);
    exit(1);
}

static void seal(FILE *file, char *line, int length)
{
    fprintf(file, "%s,\"crc\":\"%08" PRIx32 "\"}\n", line,
            hf_crc32_sliced(&tables, line, (size_t)length));
}

static void write_head(FILE *file, const struct hf_request *request, long journal)
{
    struct hf_head head;
    char started[32], *line = NULL;
    size_t length = 0;
    int year, month, day;
    hf_review_date((int32_t)(10000 + journal), &year, &month, &day);
    snprintf(started, sizeof started, "%04d-%02d-%02dT18:30:00+01:00", year, month, day);
    if (hf_head_init(&head, "holdfast bench", started, request, "[patch]\nkind = drone\n",
                     "[patch]\nkind = struck\n", NULL) != HF_OK ||
        hf_journal_format_head(&head, &line, &length, NULL) != HF_OK)
        fail("no head");
    fwrite(line, 1, length, file);
    free(line);
    hf_head_deinit(&head);
}

/* One of the four triads a journal; a cue, and mostly a mark by the player. */
static void write_journal(FILE *file, struct hf_request *request, long journal, long records)
{
    static const char *const held[] = {"C3 E3 G#3", "C#3 F3 A3", "D3 F#3 Bb3", "Eb3 G3 B3"};
    struct hf_completion completions[HF_COMPLETIONS_MOST];
    struct hf_random random;
    char line[LINE], seed[24];
    snprintf(seed, sizeof seed, "%ld", journal);
    if (hf_request_set(request, HF_OPT_HELD, held[journal % 4], NULL) != HF_OK ||
        hf_request_set(request, HF_OPT_SEED, seed, NULL) != HF_OK ||
        hf_request_resolve(request, NULL) != HF_OK)
        fail("no request");
    int count = hf_pairing_complete(request->held.set, request->added, completions);
    int root = (int)(journal % 4);
    hf_random_init(&random, (uint64_t)journal, 1);
    write_head(file, request, journal);
    int length =
        snprintf(line, sizeof line,
                 "{\"n\":1,\"t\":\"hold\",\"at\":0,\"pcs\":[%d,%d,%d],\"notes\":[%d,%d,%d],"
                 "\"names\":[\"C\",\"E\",\"G#\"]",
                 root, root + 4, root + 8, 48 + root, 52 + root, 56 + root);
    seal(file, line, length);
    int64_t at = 10 * RATE;
    long n = 2;
    for (long cue = 0; n < records - 1; cue++) {
        int pcs[HF_PCS];
        hf_pcset_list(completions[hf_random_below(&random, (uint32_t)count)].pcs, pcs);
        length = snprintf(line, sizeof line,
                          "{\"n\":%ld,\"t\":\"cue\",\"at\":%" PRId64
                          ",\"id\":%ld,\"pcs\":[%d,%d,%d],\"notes\":[%d,%d,%d],\"names\":[\"C#\","
                          "\"D\",\"G\"],\"tell\":%" PRId64 ",\"hear\":%" PRId64 ",\"end\":%" PRId64,
                          n, at, cue % 6 + 1, pcs[0], pcs[1], pcs[2], 60 + pcs[0], 60 + pcs[1],
                          60 + pcs[2], at, at + EVERY * 2 / 3, at + EVERY);
        seal(file, line, length);
        long of = n++;
        if (n < records - 1 && hf_random_below(&random, 10) > 0) {
            length =
                snprintf(line, sizeof line,
                         "{\"n\":%ld,\"t\":\"mark\",\"at\":%" PRId64 ",\"cue\":%ld,\"as\":\"%s\"",
                         n, at + RATE + hf_random_below(&random, 6 * RATE), of,
                         hf_random_below(&random, 4) ? "got" : "missed");
            seal(file, line, length);
            n++;
        }
        at += EVERY;
    }
    length = snprintf(
        line, sizeof line,
        "{\"n\":%ld,\"t\":\"end\",\"at\":%" PRId64 ",\"why\":\"finished\",\"fade\":240000", n, at);
    seal(file, line, length);
}

static void make(const char *directory, long journals, long records)
{
    static struct hf_request request;
    hf_request_init(&request);
    for (long i = 0; i < journals; i++) {
        char path[1024];
        snprintf(path, sizeof path, "%s/%06ld.jsonl", directory, i);
        FILE *file = fopen(path, "wb");
        if (!file)
            fail("cannot write");
        write_journal(file, &request, i, records);
        if (fclose(file) != 0)
            fail("cannot write");
    }
}

static double now(clockid_t clock)
{
    struct timespec time;
    clock_gettime(clock, &time);
    return (double)time.tv_sec + (double)time.tv_nsec * 1e-9;
}

static void strict(const char *directory, long journals)
{
    double start = now(CLOCK_PROCESS_CPUTIME_ID);
    for (long i = 0; i < journals; i++) {
        char path[1024];
        struct hf_journal journal;
        snprintf(path, sizeof path, "%s/%06ld.jsonl", directory, i);
        if (hf_store_read_journal(path, &journal, NULL) != HF_OK)
            fail("cannot read");
        hf_journal_deinit(&journal);
    }
    printf("%.1f\n", (now(CLOCK_PROCESS_CPUTIME_ID) - start) * 1000);
}

static void review(const char *directory, bool cold)
{
    struct hf_review_filter all = {0};
    struct hf_review_files files;
    struct hf_diag diag;
    struct rusage used;
    struct timespec wall;
    char index[1024];
    snprintf(index, sizeof index, "%s/%s", directory, HF_REVIEW_INDEX);
    if (cold)
        unlink(index);
    double start = now(CLOCK_MONOTONIC), spent = now(CLOCK_PROCESS_CPUTIME_ID);
    clock_gettime(CLOCK_REALTIME, &wall);
    if (hf_review_directory(directory, (int64_t)wall.tv_sec * 1000000000 + wall.tv_nsec, &all,
                            &files, &diag) != HF_OK)
        fail(diag.message);
    double took = now(CLOCK_MONOTONIC) - start;
    spent = now(CLOCK_PROCESS_CPUTIME_ID) - spent;
    getrusage(RUSAGE_SELF, &used);
    uint64_t cues = 0;
    for (size_t i = 0; i < files.review.cell_count; i++)
        cues += files.review.cells[i].cued;
    printf("%.1f %.1f %" PRIu32 " %" PRIu64 " %.1f\n", took * 1000, (double)used.ru_maxrss / 1024,
           files.review.sessions, cues, spent * 1000);
    hf_review_files_deinit(&files);
}

int main(int argc, char **argv)
{
    hf_crc32_tables_init(&tables);
    if (argc == 5 && strcmp(argv[1], "make") == 0)
        make(argv[2], strtol(argv[3], NULL, 10), strtol(argv[4], NULL, 10));
    else if (argc == 4 && strcmp(argv[1], "strict") == 0)
        strict(argv[2], strtol(argv[3], NULL, 10));
    else if (argc == 3)
        review(argv[2], strcmp(argv[1], "cold") == 0);
    else
        return 64;
    return 0;
}
