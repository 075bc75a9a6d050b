/* The parts of the show file that a watch reads: "watch", "room" and "tell". */
#ifndef GAINWARDEN_SHOW_FILE_WATCH_H
#define GAINWARDEN_SHOW_FILE_WATCH_H

#include "show_file.h"

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
