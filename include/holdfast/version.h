/* SPDX-License-Identifier: MIT */
/* version: what the program calls itself; the one place where it stands. */
#ifndef HOLDFAST_VERSION_H
#define HOLDFAST_VERSION_H

#define HF_PROGRAM "holdfast"
#define HF_VERSION "0.1.0"
#define HF_VERSION_DATE "November 25, 2026" /* as the manual page has it */

/* Version of the JSON shapes and of the journal ("holdfast":1). */
#define HF_FORMAT 1

#endif
