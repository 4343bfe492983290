/* SPDX-License-Identifier: MIT */
/* The commands; what each takes stands beside it. */
#include <holdfast/cli.h>

const struct hf_cli_command hf_cli_commands[] = {
    {NULL, NULL, NULL, NULL, NULL, NULL},
};
