"""The lesson and the teacher's pages in a browser, served from this computer; a thin shell on the tutor."""
