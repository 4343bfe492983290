/* SPDX-License-Identifier: MIT */
/* manual: the manual page (mdoc) and the completions for shells, made from the same tables as the
 * help. `make install` asks for them. Main thread only. */
#ifndef HOLDFAST_CLI_MANUAL_H
#define HOLDFAST_CLI_MANUAL_H

#include <stdbool.h>

/* Prints what `--print-manual`, `--print-bash` or `--print-zsh` stands for; false for any other
 * word. */
bool manual_print(const char *word);

#endif
