/* SPDX-License-Identifier: MIT */
/*
 * journal_scan: the quick way to read a journal's records, for whoever has millions of them: lines
 * exactly as this program writes them are read where they lie. It says only yes or don't know; what
 * it doesn't know is for hf_journal_read_line, and what it knows that one reads alike.
 *
 * Allocates nothing. Pure; any thread may call it.
 */
#ifndef HOLDFAST_JOURNAL_SCAN_H
#define HOLDFAST_JOURNAL_SCAN_H

#include <holdfast/crc32.h>
#include <holdfast/journal.h>

/* Reads record number `n` (1 or more) from its line, without the newline. True: `*out` is what
 * hf_journal_read_line gives. False: not for this way, and `*out` means nothing. */
bool hf_journal_scan(const struct hf_crc32_tables *tables, const char *line, size_t length, long n,
                     struct hf_record *out) HF_CHECKED;

/* What of a head can differ from session to session of the same request. */
struct hf_journal_opening {
    const char *started, *label; /* in the line, with their lengths; no escapes in them */
    size_t started_length, label_length;
    size_t rest; /* where the line goes on with ,"request": */
    long rate_hz;
};

/* Finds the parts of a canonical head line; false where it is not one. The check sum has been
 * compared, the request and patches have not been looked at. */
bool hf_journal_scan_opening(const struct hf_crc32_tables *tables, const char *line, size_t length,
                             struct hf_journal_opening *out) HF_CHECKED;

#endif
