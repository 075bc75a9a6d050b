/* SPDX-License-Identifier: MIT */
/* Bytes as the screen of a watch. It is read or its problem is told, never both; what is read is
 * drawn at several sizes, no row wider than the screen nor with anything that moves the cursor, and
 * sent on it is the same.
 */
#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "base/columns.h"
#include "base/escape.h"
#include "fuzz.h"
#include "screen/view_json.h"

int
LLVMFuzzerInitialize(int *argc, char ***argv)
{
    (void)argc;
    (void)argv;
    columns_set_locale();
    return 0;
}

static void
look_at_row(void *context, const struct view_row *row)
{
    const int *width = context;

    assert(columns_width(row->text) <= *width);
    for (const char *at = row->text; *at; at += escape_character(at))
        assert(escape_is_harmless(at));
}

static void
draw(struct view *view)
{
    static const int sizes[][2] = {{20, 5}, {30, 6}, {40, 12}, {80, 24}, {300, 60}};

    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        int width = sizes[i][0];

        view->brief = i % 2;
        view_rows(view, width, sizes[i][1], i * 7, look_at_row, &width);
        view_page(view, width, look_at_row, &width);
    }
}

/* The text of what is sent, for free(). */
static char *
text_of(const struct view *view)
{
    struct json *json = view_json(view);
    char *text = json_print(json, false);

    assert(strlen(text) < VIEW_BYTES);
    json_free(json);
    return text;
}

static void
send_on(const struct view *view)
{
    struct problems problems = {0};
    char *text = text_of(view), *again;
    struct json *json = json_parse(text, strlen(text), "again", &problems);
    struct view *read = view_read(json, &problems);

    assert(read && problems.count == 0);
    again = text_of(read);
    assert(strcmp(text, again) == 0);
    view_free(read);
    json_free(json);
    free(text);
    free(again);
}

static void
take(const struct json *json)
{
    struct problems problems = {0};
    struct view *view = view_read(json, &problems);

    assert((view != NULL) == (problems.count == 0));
    if (view) {
        draw(view);
        send_on(view);
    }
    view_free(view);
    problems_release(&problems);
}

int
LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    struct problems problems = {0};
    char *text = malloc(length + 1);
    struct json *json;

    if (!text)
        abort();
    memcpy(text, bytes, length);
    text[length] = '\0';
    json = json_parse(text, length, "screen", &problems);
    if (json)
        take(json);
    json_free(json);
    problems_release(&problems);
    free(text);
    return 0;
}
