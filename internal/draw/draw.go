// Package draw lays a solved figure out as drawings at true size.
package draw
