/* SPDX-License-Identifier: MIT */
/* How strict the checks are, and which findings are accepted: "checks" and "accept" of the show
 * file.
 */
#include <math.h>
#include <string.h>

#include "base/clock.h"
#include "base/schema.h"
#include "check/check.h"
#include "core/need.h"
#include "show/file_parts.h"

/* ---- words ---- */

static const char *
check_word(size_t i)
{
    return i < CHECKS ? check_name((int)i) : NULL;
}

static const char *
check_help(size_t i, char buffer[200])
{
    (void)buffer;
    return check_set_all.of[i]->fails_when;
}

static const struct field_words check_words = {
    .word = check_word,
    .help = check_help,
    .unknown = "unknown check",
    .nearest = true,
    .look = "`gainwarden explain` lists them",
};

/* ---- settings of a check ---- */

/* The check's own settings, then what every check has: how long it is held before it is told. */
struct settings {
    struct field rows[CHECK_SETTINGS + 3];
    size_t own;
};

static struct settings
settings_of(const struct check *check)
{
    struct settings settings = {.own = 0};
    struct field *row = settings.rows;

    for (; settings.own < CHECK_SETTINGS && check->settings[settings.own].name; settings.own++) {
        const struct setting *setting = &check->settings[settings.own];

        *row++ = (struct field){.key = setting->name,
                                .kind = FIELD_NUMBER,
                                .at = offsetof(struct show_check, settings) +
                                      settings.own * sizeof(double),
                                .size = sizeof(double),
                                .loose = true,
                                .least = setting->least,
                                .most = setting->most,
                                .preset = &setting->preset,
                                .help = setting->help};
    }
    *row++ = (struct field){SHOW_RAISE_AFTER, FIELD_AT(struct show_check, raise_after_s),
                            .loose = true, .what = "seconds"};
    *row++ = (struct field){SHOW_CLEAR_AFTER, FIELD_AT(struct show_check, clear_after_s),
                            .loose = true, .what = "seconds"};
    row->help = "how strict it is";
    return settings;
}

static const char *
setting_at(const void *settings, size_t i)
{
    return ((const struct settings *)settings)->rows[i].key;
}

/* In the order of the file; only the check's own settings are suggested. */
static void
read_settings(struct show_check *to, const struct check *check, const struct where *where)
{
    struct settings settings = settings_of(check);

    for (struct where one = where_first(where); one.json; where_next(&one)) {
        const struct field *row = fields_find(settings.rows, one.key);

        if (row)
            field_read(&(struct field_given){row, &one, to, NULL});
        else
            where_unknown_key(&one, "setting", setting_at, &settings, settings.own);
    }
}

static void
read_check(struct show_check *to, const struct check *check, const struct where *where)
{
    const char *text = where_text(where);

    if (text && strcmp(text, "off") == 0)
        to->off = true;
    else if (where_is(where, JSON_OBJECT))
        read_settings(to, check, where);
    else
        where_problem(where, "must be \"off\" or an object of settings");
}

void
show_take_checks(const struct field_given *given)
{
    struct show *show = given->into;

    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        int check = check_find(one.key);

        if (check >= 0)
            read_check(&show->checks[check], check_set_all.of[check], &one);
        else
            field_refuse_word(&check_words, one.key, &one);
    }
}

struct json *
show_checks_schema(const struct field *field)
{
    struct schema_keys keys = schema_keys(field->help);

    for (int i = 0; i < CHECKS; i++) {
        struct settings settings = settings_of(check_set_all.of[i]);
        struct json *schema =
            schema_either(schema_word("off", "not looked at"), schema_of_fields(settings.rows));

        schema_may(&keys, check_name(i), schema_describe(schema, check_set_all.of[i]->fails_when));
    }
    return keys.schema;
}

/* ---- accepted findings ---- */

void
show_take_day(const struct field_given *given)
{
    const char *text = where_text(given->where);
    int *day = field_place(given);

    *day = clock_parse_day(text);
    if (*day == 0)
        where_problem(given->where, "is \"%s\"; %s is written YYYY-MM-DD", text,
                      given->field->what);
}

/* The number of an input or mix of the desk, as a position. */
static void
take_number(const struct field_given *given)
{
    const struct show *show = given->context;
    bool mix = given->field->at == offsetof(struct accept, mix);
    int count = mix ? show->mix_count : show->input_count;
    double number = where_number(given->where);

    if (number >= 1 && number <= count && number == floor(number))
        *(int *)field_place(given) = (int)number - 1;
    else
        where_problem(given->where, "the desk has %s 1 to %d", mix ? "mixes" : "inputs", count);
}

const struct field show_accept_fields[] = {
    {"check", FIELD_WORD, "the check whose finding is accepted", .need = FIELD_MUST,
     FIELD_AT(struct accept, check), .words = &check_words},
    {"input", FIELD_WHOLE, "only on this input", FIELD_AT(struct accept, input), .least = 1,
     .most = COUNT_LIMIT, .take = take_number},
    {"mix", FIELD_WHOLE, "only on this mix", FIELD_AT(struct accept, mix), .least = 1,
     .most = COUNT_LIMIT, .take = take_number},
    {"why", FIELD_NAME, "the reason", .need = FIELD_MUST, FIELD_AT(struct accept, why), .least = 1},
    {"by", FIELD_NAME, "who accepted it", FIELD_AT(struct accept, by)},
    {"until", FIELD_SPELT, "the last day, YYYY-MM-DD", FIELD_AT(struct accept, until),
     .what = "a last day", .pattern = SHOW_DAY_PATTERN, .take = show_take_day},
    {"up_to", FIELD_NUMBER, "the finding comes back when its leading figure is above",
     FIELD_AT(struct accept, up_to)},
    {.help = "a finding to live with"},
};

void
show_take_accepts(const struct field_given *given)
{
    struct show *show = given->into;

    show->accepts = need_memory((size_t)json_size(given->where->json), sizeof *show->accepts);
    for (struct where one = where_first(given->where); one.json; where_next(&one)) {
        struct accept *accept = &show->accepts[show->accept_count++];

        *accept = (struct accept){.check = -1, .input = -1, .mix = -1, .up_to = HUGE_VAL};
        fields_read(given->field->object, &one, accept, show);
    }
}
