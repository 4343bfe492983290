/* SPDX-License-Identifier: MIT */
/* measure [--thorough]: prints what was measured of the sound, a row a figure with its limit;
 * status 1 when any row fails. */
#include <stdio.h>
#include <string.h>

#include "rows.h"

int main(int argc, char **argv)
{
    struct rows rows = {0, 0};
    int thorough = argc > 1 && strcmp(argv[1], "--thorough") == 0;
    rows_tone(&rows, thorough);
    rows_notes(&rows, thorough);
    rows_hall(&rows);
    rows_ceiling(&rows);
    rows_session(&rows);
    printf("\n%d rows, %d failed\n", rows.count, rows.failed);
    return rows.failed > 0;
}
