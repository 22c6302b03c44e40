"""Films as pictures with time stamps: read by ffmpeg, followed with OpenCV (the extra `film`)."""
