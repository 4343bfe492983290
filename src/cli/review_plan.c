/* SPDX-License-Identifier: MIT */
/* The plan for today. Invariant: what is run is what is printed. */
#include "review.h"

#include <stdio.h>
#include <string.h>

static void print_command(const struct hf_plan_step *step)
{
    hf_cli_print_file(hf_cli_called());
    for (int i = 0; i < step->words; i++) {
        bool spaced = strchr(step->word[i], ' ') != NULL;
        printf(spaced ? " \"%s\"" : " %s", step->word[i]);
    }
    printf("\n");
}

static int run_step(const struct hf_plan_step *step, bool dry_run)
{
    char words[HF_PLAN_WORDS + 1][24];
    char *argv[HF_PLAN_WORDS + 2] = {NULL};
    int argc = 0;
    for (; argc < step->words; argc++) {
        memcpy(words[argc], step->word[argc], sizeof words[0]);
        argv[argc] = words[argc];
    }
    if (dry_run) {
        snprintf(words[argc], sizeof words[0], "--dry-run");
        argv[argc] = words[argc];
        argc++;
    }
    for (const struct hf_cli_command *command = hf_cli_commands; command->name; command++)
        if (argc > 0 && strcmp(command->name, argv[0]) == 0)
            return command->run(command, argc, argv);
    return hf_status_exit(HF_E_BUG);
}

int review_plan(const struct review_asked *asked)
{
    struct hf_plan plan;
    hf_review_plan(&asked->files.review, asked->today, asked->plan_minutes, &plan);
    if (asked->files.review.sessions > 0)
        printf("Weakest: %s\n", plan.weakest);
    else
        printf("No session yet: everything is new.\n");
    for (int i = 0; i < plan.steps; i++) {
        printf("\n# %d. %s\n", i + 1, plan.step[i].why);
        print_command(&plan.step[i]);
        int status = asked->run ? run_step(&plan.step[i], asked->dry_run) : 0;
        if (status != 0)
            return status;
    }
    return hf_cli_finish();
}
