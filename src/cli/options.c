/* SPDX-License-Identifier: MIT */
/* Invariant: what an option is called, takes and does stands in one table; the parser and the help
 * are made from it. */
#include <holdfast/cli.h>

#include <getopt.h>
#include <stdio.h>
#include <string.h>

#include <holdfast/version.h>

enum {
    OPTIONS_MOST = 128,
    LONG = 1000, /* what getopt gives for a long option: beyond every letter, ? and : too */
    CODE_HELP = 30001,
    CODE_VERSION = 30002,
    HELP_COLUMN = 26,
    HELP_WIDTH = 80
};

const struct hf_cli_option hf_cli_common_options[] = {
    {"help", 'h', NULL, "this help", CODE_HELP},
    {"version", 0, NULL, "name and version", CODE_VERSION},
    {NULL, 0, NULL, NULL, 0},
};

/* ---- help ------------------------------------------------------------------------------------ */

/* Columns of a word: bytes but the later ones of a UTF-8 character. */
static int columns(const char *word, size_t length)
{
    int count = 0;
    for (size_t i = 0; i < length; i++)
        count += ((unsigned char)word[i] & 0xc0) != 0x80;
    return count;
}

/* Prints text from a column on, which the cursor has reached, in lines of HELP_WIDTH at most. A
 * line break stands where a space or another break follows it; any other is as good as a space. */
static void print_text(const char *text, int column)
{
    int at = column, hang = 0;
    for (const char *c = text; *c;) {
        size_t length = strcspn(c, " \n");
        int width = columns(c, length);
        if (at > column && at + 1 + width > HELP_WIDTH) {
            printf("\n%*s", column + hang, "");
            at = column + hang;
        } else if (at > column && length > 0) {
            putchar(' ');
            at++;
        }
        printf("%.*s", (int)length, c);
        at += width;
        c += length;
        if (*c == '\n' && (c[1] == ' ' || c[1] == '\n')) {
            size_t spaces = strspn(c + 1, " ");
            printf("\n%*s", column + (int)spaces, "");
            at = column;
            hang = spaces ? (int)spaces + 1 : 0;
            c += spaces;
        }
        c += *c != 0;
    }
    putchar('\n');
}

static void print_option(const struct hf_cli_option *option)
{
    char left[64];
    char letter[8] = "    ";
    if (option->letter)
        snprintf(letter, sizeof letter, "-%c, ", option->letter);
    snprintf(left, sizeof left, "  %s--%s%s%s", letter, option->name, option->argument ? " " : "",
             option->argument ? option->argument : "");
    if (strlen(left) >= HELP_COLUMN)
        printf("%s\n%*s", left, HELP_COLUMN, "");
    else
        printf("%-*s", HELP_COLUMN, left);
    print_text(option->help, HELP_COLUMN);
}

static void print_help(const struct hf_cli_command *command)
{
    printf("usage: %s %s %s\n", HF_PROGRAM, command->name, command->usage);
    print_text(command->summary, 0);
    putchar('\n');
    for (const struct hf_cli_option *const *table = command->options; *table; table++)
        for (const struct hf_cli_option *option = *table; option->name; option++)
            print_option(option);
    for (const struct hf_cli_option *option = hf_cli_common_options; option->name; option++)
        print_option(option);
    if (command->notes) {
        putchar('\n');
        print_text(command->notes, 0);
    }
}

/* ---- parsing --------------------------------------------------------------------------------- */

struct table {
    struct option options[OPTIONS_MOST + 1];
    const struct hf_cli_option *source[OPTIONS_MOST];
    char letters[2 * OPTIONS_MOST + 4];
    int count;
};

static void add_options(struct table *table, const struct hf_cli_option *from)
{
    size_t used = strlen(table->letters);
    for (; from->name && table->count < OPTIONS_MOST; from++) {
        table->source[table->count] = from;
        table->options[table->count++] = (struct option){
            from->name, from->argument ? required_argument : no_argument, NULL, LONG + from->code};
        if (from->letter) {
            table->letters[used++] = (char)from->letter;
            if (from->argument)
                table->letters[used++] = ':';
        }
    }
    table->letters[used] = 0;
}

/* getopt gives the letter for a short option, the code for a long one. */
static const struct hf_cli_option *find_option(const struct table *table, int got)
{
    for (int i = 0; i < table->count; i++)
        if (LONG + table->source[i]->code == got || table->source[i]->letter == got)
            return table->source[i];
    return NULL;
}

/* The names that begin as `word` does ("--re", "--re=1"), in `list`; how many. */
static int list_longer(const struct table *table, const char *word, char *list, size_t size)
{
    int count = 0;
    size_t length = strcspn(word, "=");
    list[0] = 0;
    for (int i = 0; i < table->count && length > 2; i++) {
        if (strncmp(table->source[i]->name, word + 2, length - 2) != 0)
            continue;
        size_t used = strlen(list);
        snprintf(list + used, size - used, "%s--%s", count++ ? ", " : "", table->source[i]->name);
    }
    return count;
}

static enum hf_status bad_option(const struct hf_cli_command *command, const struct table *table,
                                 int got, char *word, struct hf_diag *diag)
{
    const struct hf_cli_option *option = find_option(table, optopt);
    char longer[200];
    if (got == ':' && option) {
        hf_fail(diag, HF_E_USAGE, "--%s needs %s", option->name, option->argument);
    } else if (option && optopt) {
        hf_fail(diag, HF_E_USAGE, "--%s takes no value", option->name);
    } else if (optopt > 0x20 && optopt < 0x7f && strncmp(word, "--", 2) != 0) {
        hf_fail(diag, HF_E_USAGE, "there is no option -%c", optopt);
    } else if (!optopt && list_longer(table, word, longer, sizeof longer) > 1) {
        hf_fail(diag, HF_E_USAGE, "%.*s can be %s", (int)strcspn(word, "="), word, longer);
    } else {
        hf_fail(diag, HF_E_USAGE, "there is no option %.60s", word);
    }
    hf_advise(diag, "%s %s --help lists the options", hf_cli_called(), command->name);
    return HF_E_USAGE;
}

enum hf_status hf_cli_parse(const struct hf_cli_command *command, int argc, char **argv,
                            enum hf_status (*take)(void *self, int code, const char *text,
                                                   struct hf_diag *diag),
                            void *self, int *first, bool *stop, struct hf_diag *diag)
{
    struct table table = {.letters = ":"};
    for (const struct hf_cli_option *const *from = command->options; *from; from++)
        add_options(&table, *from);
    add_options(&table, hf_cli_common_options);
    opterr = 0;
    optind = 0; /* start anew, in GNU's way */
    *stop = false;
    for (;;) {
        int at = optind ? optind : 1;
        int got = getopt_long(argc, argv, table.letters, table.options, NULL);
        if (got == -1)
            break;
        const struct hf_cli_option *option = find_option(&table, got);
        if (!option) /* ? or : */
            return bad_option(command, &table, got, argv[optind > at ? optind - 1 : at], diag);
        if (option->code == CODE_HELP)
            print_help(command);
        if (option->code == CODE_VERSION)
            hf_cli_print_version();
        if (option->code == CODE_HELP || option->code == CODE_VERSION) {
            *stop = true;
            return HF_OK;
        }
        enum hf_status status = take(self, option->code, optarg, diag);
        if (status != HF_OK)
            return status;
    }
    *first = optind;
    return HF_OK;
}
