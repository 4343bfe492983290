build-clang/outlet/wholefile.o: src/outlet/wholefile.c \
  include/holdfast/wholefile.h include/holdfast/status.h

include/holdfast/wholefile.h:

include/holdfast/status.h:
