/* The schema of show files, as show/file.c reads them. */
#include <stdio.h>

#include "check/check.h"
#include "core/verdict.h"
#include "desk/show.h"
#include "desk/source.h"
#include "profile/profile.h"
#include "schema/parts.h"
#include "show/file.h"
#include "show/file_watch.h"
#include "show/timetable.h"

/* Key of an object by number: 1 to COUNT_LIMIT, which has three digits. */
#define NUMBER_KEY "^0*[1-9][0-9]{0,2}(?!\\n)$"
_Static_assert(COUNT_LIMIT >= 100 && COUNT_LIMIT <= 999, "NUMBER_KEY has three digits");

/* The months' lengths; only 29 February of a common year slips through. */
#define DAY_PATTERN                                                                                \
    "^[2-9][0-9]{3}-((0[13578]|1[02])-(0[1-9]|[12][0-9]|3[01])|"                                   \
    "(0[469]|11)-(0[1-9]|[12][0-9]|30)|02-(0[1-9]|[12][0-9]))(?!\\n)$"

static struct json *
choice(const char *one, const char *other, const char *help)
{
    const char *words[] = {one, other, NULL};

    return schema_words(words, help);
}

static struct json *
desk_schema(void)
{
    struct schema_keys keys = schema_keys("which desk, and whose it is");

    schema_may(&keys, "profile",
               schema_type("string", "the profile's path, from this file's folder"));
    schema_may(&keys, "host", schema_type("string", "name or address of the desk"));
    schema_may(&keys, "port", schema_whole(1, 65535, "in place of the profile's"));
    schema_may(&keys, "role",
               choice("monitor", "house",
                      "monitor: the desk's faders are parked at 0 dB; house: monitors are mixed "
                      "on the house desk, whose faders are ridden"));
    schema_may(&keys, "approved",
               schema_type("string", "the approved desk's path, from this file's folder"));
    schema_may(&keys, "agreed",
               schema_pattern("^[0-9a-f]{64}(?!\\n)$",
                              "agrees to what the profile sends: the hash that `check` prints"));
    return keys.schema;
}

static struct json *
source_schema(void)
{
    static const char *const phantom[] = {"", ", 48 V needed", ", 48 V not needed"};
    struct json *list = json_new_array();
    struct json *schema = schema_of("oneOf", list);
    char help[200];

    schema_describe(schema, "what plays into the input");
    for (int i = 0; i < source_count; i++) {
        const struct source *source = &sources[i];

        snprintf(help, sizeof help, "usual high-pass %s%g to %g Hz%s",
                 source->wants_high_pass ? "" : "off or ", source->corner_low_hz,
                 source->corner_high_hz, phantom[source->phantom]);
        json_add(list, NULL, schema_word(source->id, help));
    }
    return schema;
}

static struct json *
input_schema(void)
{
    struct schema_keys keys = schema_keys("one input");
    const char *microphones[MICROPHONES] = {NULL};

    for (int i = MICROPHONE_UNKNOWN + 1; i < MICROPHONES; i++)
        microphones[i - 1] = microphone_name((enum microphone)i);
    schema_may(&keys, "source", source_schema());
    schema_may(&keys, "player", schema_name(SHOW_NAME_SIZE, "who plays or sings into it"));
    schema_may(&keys, "preamp_owner",
               schema_preset_word(
                   choice("house", "monitor", "which desk's preamp it is that feeds the input"),
                   "monitor"));
    schema_may(&keys, "lowest_hz", schema_number(10, 5000, "this player's lowest note"));
    schema_may(&keys, "microphone",
               schema_words(microphones, "what is plugged in, as far as 48 V is concerned"));
    return keys.schema;
}

static struct json *
mix_schema(void)
{
    struct schema_keys keys = schema_keys("one mix");
    const char *feeds[FEEDS_COUNT] = {NULL};

    for (int i = FEEDS_UNKNOWN + 1; i < FEEDS_COUNT; i++)
        feeds[i - 1] = feeds_name((enum feeds)i);
    schema_may(&keys, "feeds", schema_words(feeds, "what the mix ends in"));
    schema_may(&keys, "player", schema_name(SHOW_NAME_SIZE, "who listens to it"));
    schema_may(&keys, "limiter",
               schema_preset_word(
                   choice("transmitter", "desk", "where the limiter of an in-ear mix is"), "desk"));
    schema_may(&keys, "tuned_in",
               schema_preset_word(choice("desk", "amplifier",
                                         "where the loudspeaker is tuned; desk: the mix's "
                                         "parametric equaliser is no ring-out"),
                                  "amplifier"));
    return keys.schema;
}

/* Objects under their numbers. */
static struct json *
numbered(struct json *object, const char *help)
{
    struct json *schema = schema_type("object", help);

    json_add_bool(schema, "additionalProperties", false);
    json_add(schema, "patternProperties", schema_of(NUMBER_KEY, object));
    return schema;
}

static void
add_holds(struct schema_keys *keys)
{
    schema_may(keys, "raise_after_s",
               schema_number(0, 3600, "how long it must hold in a watch before it is told"));
    schema_may(keys, "clear_after_s",
               schema_number(0, 3600, "how long it must be gone before that is told"));
}

static struct json *
settings_schema(const struct check *check)
{
    struct schema_keys keys = schema_keys("how strict it is");

    for (int i = 0; i < CHECK_SETTINGS && check->settings[i].name; i++) {
        const struct setting *setting = &check->settings[i];
        struct json *schema = schema_number(setting->least, setting->most, setting->help);

        schema_may(&keys, setting->name, schema_preset(schema, setting->preset));
    }
    add_holds(&keys);
    return keys.schema;
}

static struct json *
checks_schema(void)
{
    struct schema_keys keys = schema_keys("checks by id: switched off, or with other settings");

    for (int i = 0; i < CHECKS; i++) {
        struct json *schema =
            schema_either(schema_word("off", "not looked at"), settings_schema(checks[i]));

        schema_describe(schema, checks[i]->fails_when);
        schema_may(&keys, checks[i]->id, schema);
    }
    return keys.schema;
}

static struct json *
check_id_schema(void)
{
    struct json *list = json_new_array();
    struct json *schema = schema_of("oneOf", list);

    schema_describe(schema, "the check whose finding is accepted");
    for (int i = 0; i < CHECKS; i++)
        json_add(list, NULL, schema_word(checks[i]->id, checks[i]->fails_when));
    return schema;
}

static struct json *
accept_schema(void)
{
    struct schema_keys keys = schema_keys("a finding to live with");
    struct json *why = schema_name(SHOW_WHY_SIZE, "the reason");

    json_add_number(why, "minLength", 1);
    schema_must(&keys, "check", check_id_schema());
    schema_may(&keys, "input", schema_whole(1, COUNT_LIMIT, "only on this input"));
    schema_may(&keys, "mix", schema_whole(1, COUNT_LIMIT, "only on this mix"));
    schema_must(&keys, "why", why);
    schema_may(&keys, "by", schema_name(SHOW_NAME_SIZE, "who accepted it"));
    schema_may(&keys, "until", schema_pattern(DAY_PATTERN, "the last day, YYYY-MM-DD"));
    schema_may(&keys, "up_to",
               schema_type("number", "the finding comes back when its leading figure is above"));
    return keys.schema;
}

static struct json *
weight_schema(const char *help)
{
    struct json *weights = json_new_array();
    struct json *schema = schema_of("enum", weights);

    for (int i = 0; i < WEIGHTS; i++)
        json_add_string(weights, NULL, weight_name((enum weight)i));
    schema_describe(schema, help);
    return schema_preset_word(schema, weight_name(FROM_WEIGHT_PRESET));
}

/* Exactly one of the two keys. */
static struct json *
one_of_required(const char *one, const char *other)
{
    const char *keys[] = {one, other};
    struct json *list = json_new_array();

    for (int i = 0; i < 2; i++) {
        struct json *required = json_new_array();

        json_add_string(required, NULL, keys[i]);
        json_add(list, NULL, schema_of("required", required));
    }
    return list;
}

static struct json *
chat_schema(void)
{
    struct schema_keys keys = schema_keys("where the watch posts its messages");
    struct json *body = json_new_object();

    schema_may(&keys, "url_env",
               schema_type("string", "the environment variable that holds the hook's address, or"));
    schema_may(&keys, "url_file",
               schema_type("string", "the file that holds nothing else, from this file's folder"));
    json_add(keys.schema, "oneOf", one_of_required("url_env", "url_file"));
    schema_may(&keys, "from_weight", weight_schema("the least weight that is posted"));
    schema_may(&keys, "all_clear_s",
               schema_preset(schema_number(0, 86400,
                                           "how often it hears that all is watched, with the next "
                                           "\"still watching\"; 0: never"),
                             0));
    schema_describe(body, "any JSON; inside its strings ${text} becomes the message and ${id} its "
                          "identity");
    schema_may(&keys, "body", body);
    schema_may(&keys, "ca_file",
               schema_type("string", "certificates to trust besides the system's"));
    return keys.schema;
}

static struct json *
cue_schema(void)
{
    struct schema_keys keys = schema_keys("one OSC message an edge, to a cue light, say");
    struct json *address =
        schema_pattern("^/(?:(?![#*,?\\[\\]{}])[!-~])*(?!\\n)$", "its OSC address");

    json_add_number(address, "maxLength", CUE_ADDRESS_MOST);
    schema_must(&keys, "host",
                schema_type("string", "where it is sent; never where a desk is read"));
    schema_must(&keys, "port", schema_whole(1, 65535, "its UDP port"));
    schema_may(&keys, "address", schema_preset_word(address, CUE_ADDRESS_PRESET));
    schema_may(&keys, "from_weight", weight_schema("the least weight that is sent"));
    return keys.schema;
}

static struct json *
tell_schema(void)
{
    struct schema_keys lines = schema_keys("JSON lines, one object an edge");
    struct schema_keys heartbeat = schema_keys("a file that is written anew while the watch lives");
    struct schema_keys tell = schema_keys("who is told besides the terminal");

    schema_must(&lines, "file", schema_type("string", "its path, or \"-\" for standard output"));
    schema_must(&heartbeat, "file", schema_type("string", "its path"));
    schema_may(&heartbeat, "every_s",
               schema_preset(schema_number(1, 3600, "how often"), HEARTBEAT_PRESET_S));
    schema_may(&tell, "chat", chat_schema());
    schema_may(&tell, "osc", cue_schema());
    schema_may(&tell, "lines", lines.schema);
    schema_may(&tell, "heartbeat", heartbeat.schema);
    return tell.schema;
}

static struct json *
watch_schema(void)
{
    struct schema_keys keys = schema_keys("how patient the watch is");

    add_holds(&keys);
    schema_may(
        &keys, "recall_values",
        schema_preset(schema_whole(2, 100000, "so many values that move at once are a recall,"),
                      RECALL_VALUES_PRESET));
    schema_may(
        &keys, "recall_objects",
        schema_preset(schema_whole(1, 1000, "when they are of so many inputs, mixes and groups"),
                      RECALL_OBJECTS_PRESET));
    return keys.schema;
}

static struct json *
room_schema(void)
{
    const char *const *words = param_words(PARAM_DESK_ROOM);
    struct schema_keys keys = schema_keys("what the room is doing, and when that changes");
    struct schema_keys row = schema_keys("one change");
    struct json *at, *needs = json_new_object(), *zone = json_new_array();

    schema_must(&row, "time",
                schema_pattern("^([01][0-9]|2[0-3]):[0-5][0-9](?!\\n)$", "time of day, HH:MM"));
    schema_must(&row, "room", schema_words(words, "what the room is doing from then on"));
    schema_may(&row, "on", schema_pattern(DAY_PATTERN, "only on this day, YYYY-MM-DD"));
    schema_may(
        &keys, "begin",
        schema_preset_word(schema_words(words, "what the room is doing when the watch begins"),
                           room_name(ROOM_PRESET)));
    schema_may(&keys, "changeover_s",
               schema_preset(schema_number(1, 86400, "how long a changeover lasts at most"),
                             CHANGEOVER_PRESET_S));
    schema_may(&keys, "zone", schema_type("string", "time zone of the times: \"Europe/Lisbon\""));
    at = schema_list(row.schema, 0, "changes by the clock");
    json_add_number(at, "maxItems", TIMETABLE_ROWS);
    schema_may(&keys, "at", at);
    json_add_string(zone, NULL, "zone");
    json_add(needs, "at", zone);
    json_add(keys.schema, "dependencies", needs);
    return keys.schema;
}

struct json *
schema_show(void)
{
    struct schema_keys root =
        schema_root("gainwarden show file",
                    "who plays into which input, what each mix feeds, and what is accepted tonight",
                    "show_format");

    schema_may(&root, "show", schema_name(SHOW_NAME_SIZE, "what tonight is called"));
    schema_may(&root, "desk", desk_schema());
    schema_may(&root, "inputs", numbered(input_schema(), "inputs by number, from 1"));
    schema_may(&root, "mixes", numbered(mix_schema(), "mixes by number, from 1"));
    schema_may(&root, "checks", checks_schema());
    schema_may(&root, "accept", schema_list(accept_schema(), 0, "findings to live with"));
    schema_may(&root, "tell", tell_schema());
    schema_may(&root, "watch", watch_schema());
    schema_may(&root, "room", room_schema());
    return root.schema;
}
