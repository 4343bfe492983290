/* SPDX-License-Identifier: MIT */
/* completions: what a shell may offer after `holdfast`, made from the same tables as the help: for
 * bash and for zsh, on stdout. Main thread only. */
#ifndef HOLDFAST_CLI_COMPLETIONS_H
#define HOLDFAST_CLI_COMPLETIONS_H

void completions_bash(void);
void completions_zsh(void);

#endif
