/* The parts of the show file that a watch reads: "watch", "room" and "tell". */
#ifndef GAINWARDEN_SHOW_FILE_WATCH_H
#define GAINWARDEN_SHOW_FILE_WATCH_H

#include "show/file.h"

/* What stands in for a key that is not given. */
enum {
    RECALL_VALUES_PRESET = 20,
    RECALL_OBJECTS_PRESET = 4,
    CHANGEOVER_PRESET_S = 1200,
    HEARTBEAT_PRESET_S = 10
};
#define FROM_WEIGHT_PRESET WEIGHT_FIX
#define ROOM_PRESET ROOM_DOORS
#define CUE_ADDRESS_PRESET "/gainwarden"

/* Each adds to the problems what is wrong with its part. `json` is the part, `where` its place. */
void show_file_read_watch(struct watch_settings *watch, const struct json *json,
                          const struct where *where);
void show_file_read_room(struct timetable *timetable, const struct json *json,
                         const struct where *where);
void show_file_read_tell(struct tell_settings *tell, const char *path, const struct json *json,
                         const struct where *where);

/* Their defaults, and what they own. */
void show_file_init_watch(struct show_file *file);
void show_file_free_watch(struct show_file *file);

/* `name` as seen from the folder of the file `path`; to free(). */
char *show_file_beside(const char *path, const char *name);

#endif
