/* SPDX-License-Identifier: MIT */
/* `gainwarden explain`: what the tables of rules/ say, for people. */
#include "command/table.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/embedded.h"
#include "base/output.h"
#include "base/where.h"
#include "check/check.h"
#include "core/text.h"
#include "desk/param.h"
#include "desk/source.h"
#include "engine/teach.h"
#include "profile/sending.h"

enum { SETTING_COLUMN = 22, PARAMETER_COLUMN = 29 };

static void
explain_paragraph(const char *title, const char *text)
{
    printf("\n%s\n", title);
    output_wrapped(2, 2, text);
}

static void
explain_setting(const char *name, double preset, const char *help, const char *from)
{
    char text[300];

    snprintf(text, sizeof text, "%g: %s", preset, help);
    output_row(stdout, 2, SETTING_COLUMN, name, text);
    output_format(SETTING_COLUMN, SETTING_COLUMN + 2, "from: %s", from);
}

static void
explain_settings(const struct check *check)
{
    double raise_s = check->raise_after_s, clear_s = check->clear_after_s;

    puts("\nSettings (show file, under \"checks\")");
    for (int i = 0; i < CHECK_SETTINGS && check->settings[i].name; i++)
        explain_setting(check->settings[i].name, check->settings[i].preset, check->settings[i].help,
                        check->settings[i].from);
    if (check->momentary || check->of_plan)
        return;
    explain_setting("raise_after_s", raise_s > 0 ? raise_s : CHECK_RAISE_AFTER_S,
                    CHECK_RAISE_AFTER_HELP ", s", CREDIT_PRACTICE);
    explain_setting("clear_after_s", clear_s > 0 ? clear_s : CHECK_CLEAR_AFTER_S,
                    CHECK_CLEAR_AFTER_HELP ", s", CREDIT_PRACTICE);
}

/* What the check says of a small invented desk, and how it comes to that. */
static void
explain_sample(const struct check *check)
{
    struct verdict verdict;
    struct words words;
    char buffer[TEACH_SIZE + sizeof words.says];
    struct text text;

    teach_sample(check, &verdict, &words);
    text_init(&text, buffer, sizeof buffer);
    text_add(&text, "It says: %s. ", words.says);
    if (teach_work(&text, check, &verdict))
        explain_paragraph("Worked example (a desk of our own)", buffer);
}

static void
explain_check(int id)
{
    const struct check *check = check_set_all.of[id];

    printf("%s\n", check->id);
    explain_paragraph("Fails when", check->fails_when);
    explain_paragraph("Why it matters", check->why);
    explain_paragraph("What to do", check->cure);
    explain_settings(check);
    explain_paragraph("Formula", check->formula);
    explain_sample(check);
    explain_paragraph("Source", check->source);
    explain_paragraph("Where the trade disagrees", check->disagreement);
    puts("\nReads");
    for (const enum param_id *read = check->reads; *read != PARAMS; read++)
        printf("  %s\n", params[*read].name);
    output_format(0, 0,
                  "\nTo switch it off: \"checks\": { \"%s\": \"off\" } in the show file. To live "
                  "with one finding: an entry under \"accept\", with the reason.",
                  check->id);
}

static void
list_checks(void)
{
    puts("checks:");
    for (int i = 0; i < CHECKS; i++) {
        printf("\n  %s\n", check_name(i));
        output_wrapped(4, 4, check_set_all.of[i]->fails_when);
    }
    output_format(0, 0,
                  "\n`gainwarden explain CHECK` says more; so do `explain parameters`, `explain "
                  "sources`, `explain scheme` and `explain sending`.");
}

static void
list_parameter(enum param_id id)
{
    const struct param *param = &params[id];
    const char *const *words = param_words(id);
    char figures[200], range[60] = "", line[400];
    struct text text;

    if (param->unit != UNIT_TEXT && param->unit != UNIT_SWITCH && param->unit != UNIT_WORD)
        snprintf(range, sizeof range, ", %g to %g%s", param->least, param->most,
                 param_may_be_off(id) ? " or \"-inf\"" : "");
    snprintf(figures, sizeof figures, "%s%s%s; %s%s",
             param->row == INDEX_NONE ? "one" : index_placeholder(param->row),
             param->column == INDEX_NONE ? "" : ", ", index_placeholder(param->column),
             unit_name(param->unit), range);
    output_row(stdout, 2, PARAMETER_COLUMN, param->name, figures);
    text_init(&text, line, sizeof line);
    text_add(&text, "%s", param->help);
    for (int j = 0; words && words[j]; j++)
        text_add(&text, "%s%s", j == 0 ? ": " : ", ", words[j]);
    text_add(&text, "%s", isnan(param->absent) ? "" : " (may be left out)");
    output_wrapped(6, 6, line);
}

static void
list_parameters(const struct options *options)
{
    (void)options;
    output_wrapped(0, 0,
                   "parameters a profile may name (name, indexes, unit, legal range, meaning):");
    putchar('\n');
    for (enum param_id id = 0; id < PARAMS; id++)
        list_parameter(id);
}

static void
list_source(const struct source *source)
{
    static const char *const phantom[] = {"either", "needed", "not needed"};
    char words[400];
    struct text text;

    output_wrapped(2, 4, source->id);
    if (source->lowest_hz > 0)
        output_format(6, 8, "lowest note: %s%.1f Hz (%s)",
                      source_is_drum(source) ? "none; its body begins at " : "", source->lowest_hz,
                      source->lowest_from);
    else
        output_format(6, 8, "lowest note: %s", source->lowest_from);
    if (source->corner_high_hz > 0)
        output_format(6, 8, "high-pass: %s%.0f to %.0f Hz (%s)",
                      source->wants_high_pass ? "" : "off or ", source->corner_low_hz,
                      source->corner_high_hz, source->corner_from);
    else
        output_format(6, 8, "high-pass: off (%s)", source->corner_from);
    output_format(6, 8, "48 V: %s (%s)", phantom[source->phantom], CREDIT_PRACTICE);
    text_init(&text, words, sizeof words);
    for (const char *at = source->words; *at; at++)
        text_add(&text, *at == '|' ? ", " : "%s", (char[]){*at, '\0'});
    output_format(6, 8, "label words: %s", words);
}

static void
list_sources(const struct options *options)
{
    (void)options;
    output_wrapped(0, 0,
                   "kinds of sources (lowest note, usual high-pass corners, 48 V, label words):");
    putchar('\n');
    for (int i = 0; i < source_count; i++)
        list_source(&sources[i]);
}

static void
print_scheme(const struct options *options)
{
    (void)options;
    fputs(embedded_scheme, stdout);
}

static void
print_promise(const struct options *options)
{
    (void)options;
    for (int i = 0; sending_promise[i]; i++)
        output_wrapped(0, 2, sending_promise[i]);
}

static completion_words_fn topic_at;

static void
print_completion(const struct options *options)
{
    completion_print(options->commands, topic_at);
}

static const struct {
    const char *name;
    void (*print)(const struct options *options);
} topics[] = {{"parameters", list_parameters},
              {"sources", list_sources},
              {"scheme", print_scheme},
              {"sending", print_promise},
              {"completion", print_completion}};

static const char *
topic_at(size_t i)
{
    return i < sizeof topics / sizeof *topics ? topics[i].name : NULL;
}

static const char *
check_at(const void *context, size_t i)
{
    (void)context;
    return check_name((int)i);
}

/* False when nothing is called so. */
static bool
explain_word(const struct options *options, const char *word)
{
    int check = check_find(word);

    for (size_t i = 0; topic_at(i); i++)
        if (strcmp(topics[i].name, word) == 0) {
            topics[i].print(options);
            return true;
        }
    if (check >= 0)
        explain_check(check);
    return check >= 0;
}

int
command_explain(const struct options *options)
{
    const char *word = options->words[0];
    char nearest[100];

    if (!word)
        list_checks();
    else if (!explain_word(options, word)) {
        fprintf(stderr, "gainwarden: no check is called \"%s\"%s\nTry `gainwarden explain`.\n",
                word, where_nearest(word, check_at, NULL, CHECKS, nearest));
        return EXIT_USAGE;
    }
    return EXIT_CLEAN;
}
