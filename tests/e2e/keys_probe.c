/* SPDX-License-Identifier: MIT */
/* The keys of the files that `gainwarden check --schema` does not print, for the man pages' test:
 * as JSON, by the file's kind. A schema, or for the lines of a recording a list of keys.
 */
#include <stdio.h>
#include <stdlib.h>

#include "base/schema.h"
#include "review/scheme_file.h"
#include "saved/file.h"
#include "saved/proved.h"
#include "saved/recording.h"

static struct json *
line_keys(void)
{
    struct json *list = json_new_array();

    for (int kind = 0; kind < RECORDED_NOTHING; kind++)
        json_add_string(list, NULL, recorded_shapes[kind].key);
    for (const char *const *key = recording_other_keys; *key; key++)
        json_add_string(list, NULL, *key);
    return list;
}

int
main(void)
{
    struct json *files = json_new_object();
    char *text;

    json_add(files, "scheme", schema_of_fields(scheme_fields));
    json_add(files, "saved", schema_of_fields(saved_fields));
    json_add(files, "proved", schema_of_fields(proved_fields));
    json_add(files, "head", schema_of_fields(recording_head_fields));
    json_add(files, "line", line_keys());
    text = json_print(files, true);
    puts(text);
    free(text);
    json_free(files);
    return 0;
}
